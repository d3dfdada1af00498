"""Merging changes into a document, by the table of the standard."""

from __future__ import annotations

import copy
import json

import pytest

from optimiser.case.merge_patch import merge_patch

APPENDIX_A = (
    ('{"a":"b"}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'),
    ('{"a":"b"}', '{"a":null}', "{}"),
    ('{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'),
    ('{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'),
    ('{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'),
    ('{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'),
    ('["a","b"]', '["c","d"]', '["c","d"]'),
    ('{"a":"b"}', '["c"]', '["c"]'),
    ('{"a":"foo"}', "null", "null"),
    ('{"a":"foo"}', '"bar"', '"bar"'),
    ('{"e":null}', '{"a":1}', '{"e":null,"a":1}'),
    ("[1,2]", '{"a":"b","c":null}', '{"a":"b"}'),
    ("{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'),
)
"""Original, patch, result. Source: RFC 7396, appendix A (doi 10.17487/RFC7396), the rows from memory."""


@pytest.mark.parametrize(("original", "patch", "result"), APPENDIX_A)
def test_each_row_of_the_standard_comes_out(original: str, patch: str, result: str) -> None:
    """RFC 7396, appendix A."""
    assert merge_patch(json.loads(original), json.loads(patch)) == json.loads(result)


def test_neither_argument_is_changed() -> None:
    """What was read once is used for many requests."""
    target, patch = {"a": {"b": 1, "c": [2]}, "d": 3}, {"a": {"b": None, "e": {"f": None}}}
    before = copy.deepcopy((target, patch))
    merge_patch(target, patch)
    assert (target, patch) == before
