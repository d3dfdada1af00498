"""A share of the ten thousand malformed requests of `benchmarks.malformed`, and those that once did harm."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest

from benchmarks.malformed.barrage import barrage

NUMBERS = range(0, 10_000, 30)
LONGEST_S = 20.0
"""On a machine that tests something else at the same time; alone, five seconds are far more than any takes."""
KEYS = {f"k{number}": 1 for number in range(30_000)}
MOST_ANSWER_BYTES = 100_000


@pytest.fixture
def idle_service(start_service: Callable[[], Any], monkeypatch: pytest.MonkeyPatch) -> Any:
    """A service of its own; what can be planned waits."""
    monkeypatch.setenv("TAPCALL_JOB_PROCESSES", "0")
    return start_service()


def test_nonsense_is_refused_at_its_place_and_touches_nothing(idle_service: Any) -> None:
    """No 5xx, no hang, every problem names its place, nobody is called; the service reads on."""
    client = idle_service.client
    key = client.headers["authorization"].removeprefix("Bearer ")
    outcome = barrage(client.base_url.port, key, NUMBERS, longest_s=LONGEST_S)
    assert outcome.complaints == {}
    assert outcome.visitors == 0
    assert sum(outcome.by_status.values()) == len(NUMBERS)
    assert sum(number for (_, status), number in outcome.by_status.items() if status == 422) > len(NUMBERS) / 3
    assert client.get("/readyz").status_code == 200


def test_readers_open_nothing_and_call_nobody() -> None:
    """Documents full of paths and addresses, read under an audit hook (PEP 578) that hears itself."""
    root = Path(__file__).parents[3]
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.malformed.watched_reading", "20"],
        cwd=root, env={**os.environ, "PYTHONPATH": str(root)}, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert (done.stdout, done.returncode) == ("", 0), done.stderr


def nested(levels: int) -> str:
    return "[" * levels + "]" * levels


def places(answer: httpx.Response) -> list[str]:
    """Pointers of the faults of a 422."""
    assert answer.status_code == 422, answer.text
    assert len(answer.content) < MOST_ANSWER_BYTES
    return [error["pointer"] for error in answer.json()["errors"]]


def sent(service: Any, path: str, body: str | bytes) -> httpx.Response:
    answer: httpx.Response = service.client.post(path, content=body, headers={"Content-Type": "application/json"})
    return answer


@pytest.mark.parametrize("levels", [101, 500, 100_000])
@pytest.mark.parametrize("path", ["/v1/plans", "/v1/checks", "/v1/revalidations", "/v1/keys", "/v1/webhooks"])
def test_a_request_that_nests_without_end_goes_no_further(service: Any, path: str, levels: int) -> None:
    """What Python cannot hand to another process would end the pool of readers."""
    body = f'{{"layout_id": "layout_{0:032}", "sequence": {nested(levels)}, "changes": {{"crew": {nested(levels)}}}}}'
    assert places(sent(service, path, body)) == [""]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [('{"change": {"\\ud800": [1e300]}}', "/change"), ('{"change": {"gel_test": {"a": NaN}}}', "/change/gel_test/a"),
     ('{"change": {"resin_temperature_c": 1e999}}', "/change/resin_temperature_c"),
     ('{"change": {}, "change": {}}', "/change"), (b'{"change": "\xff"}', ""), (b"", ""), (b"nul", ""), (b"[]", ""),
     ('{"change": {"resin_temperature_c": "21"}}', "/change/resin_temperature_c"),
     ('{"change": {"resin_temperature_c": true}}', "/change/resin_temperature_c"),
     ('{"change": {"resin_id": "resin_", "batch": ""}}', "/change/resin_id")],
)  # fmt: skip
def test_a_request_in_broken_json_is_told_where(service: Any, body: str | bytes, pointer: str) -> None:
    """As a layout would be: NaN, endless numbers, half letters, doubled keys, other types than the page says."""
    assert pointer in places(sent(service, "/v1/revalidations", body))


@pytest.mark.parametrize("path", ["/v1/keys", "/v1/plans", "/v1/layouts", "/v1/resins"])
def test_a_mapping_of_a_great_many_keys_is_one_fault(service: Any, path: str) -> None:
    """Each unknown key would be a fault of its own, and the answer longer than the request."""
    assert places(service.client.post(path, json=KEYS)) == [""]


def test_a_great_many_faults_are_told_as_one(service: Any, tiny_case: dict[str, Any]) -> None:
    """They are not all written down before the first is told."""
    tiny_case["feed_lines"] = [dict.fromkeys(list(KEYS)[:9_000], 1)] * 10
    assert places(service.client.post("/v1/layouts", json=tiny_case)) == [""]


def test_a_query_of_a_great_many_parameters_has_a_short_answer(service: Any) -> None:
    """The first two hundred are named."""
    query = "&".join(f"a{number}=" for number in range(5_000))
    assert places(service.client.get(f"/v1/jobs?{query}")) == [""] * 200


@pytest.mark.parametrize("headers", [{}, {"Content-Type": "text/plain"}, {"Content-Encoding": "gzip"}])
def test_a_request_that_is_not_plain_json_is_of_another_kind(service: Any, headers: dict[str, str]) -> None:
    """415 with the kind that is taken, as the page says."""
    kind = {} if "Content-Type" in headers or not headers else {"Content-Type": "application/json"}
    answer = service.client.post("/v1/keys", content=b'{"name": "x", "scopes": ["read"]}', headers=headers | kind)
    assert answer.status_code == 415


@pytest.mark.parametrize("moment", ["2026", "1e9", "0", "2026-01-01", "12:00", "now"])
def test_a_moment_is_taken_only_as_rfc_3339_writes_it(service: Any, moment: str) -> None:
    """A bare number is no moment, though it could be seconds since 1970."""
    answer = service.client.get("/v1/jobs", params={"updated_since": moment})
    assert [error["parameter"] for error in answer.json()["errors"]] == ["updated_since"]
    assert answer.json()["errors"][0]["found"] == f"'{moment}'"
