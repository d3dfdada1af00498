"""For schemathesis: requests meet documents that are there, and every problem is looked at closely.

Loaded by `schemathesis.toml`. Ids are taken from the environment, from TAPCALL_LAYOUT_ID and the like; where none is
given, those that schemathesis makes stand.
"""

from __future__ import annotations

import os
import re
from typing import Any

import schemathesis

_ID = re.compile(r"(layout|resin|plan|job|revalidation|webhook)_[0-9a-f]+")
_OWN_KEY = os.environ.get("TAPCALL_KEY_ID")
_OF_HTTP = {400, 405, 421}
"""What any request may meet before an operation sees it."""


@schemathesis.hook
def before_call(_context: Any, case: Any, _kwargs: dict[str, Any]) -> None:
    """Ids of the right form become ids of documents that are there; the key that all this uses is left alone."""
    case.path_parameters = {name: _there(value) for name, value in (case.path_parameters or {}).items()}
    if isinstance(case.body, dict):
        case.body = {name: _there(value) for name, value in case.body.items()}


def _there(value: Any) -> Any:
    if _OWN_KEY is not None and value == _OWN_KEY:
        return "0" * 16
    if isinstance(value, str) and (kind := _ID.fullmatch(value)):
        return os.environ.get(f"TAPCALL_{kind[1].upper()}_ID", value)
    return value


@schemathesis.check
def declared_status(_context: Any, response: Any, case: Any) -> None:
    """`default` is for what any request may meet; all else is declared by the operation itself."""
    declared = case.operation.definition.raw["responses"]
    assert str(response.status_code) in declared or response.status_code in _OF_HTTP, (
        f"status {response.status_code} is not declared"
    )


@schemathesis.check
def whole_problem(_context: Any, response: Any, _case: Any) -> None:
    """RFC 9457; where the input cannot be used, each fault names a parameter or has a pointer (RFC 6901)."""
    if response.status_code < 400:
        return
    assert response.headers["content-type"] == ["application/problem+json"]
    problem = response.json()
    assert problem["status"] == response.status_code
    assert [problem["request_id"]] == response.headers["x-request-id"]
    if problem["type"] == "/v1/problems/unusable":
        assert problem["errors"], "no fault is named"
    for error in problem["errors"]:
        assert error.get("parameter") or re.fullmatch(r"(/([^~/]|~[01])*)*", error["pointer"]), "no place is named"
        assert error["found"]
        assert error["expected"]
    assert "Traceback" not in response.text
