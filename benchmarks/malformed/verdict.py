"""Whether an answer is one that a stranger's nonsense may get."""

from __future__ import annotations

import re
from typing import Any

from benchmarks.malformed.sent import Answer, Sent

_POINTER = re.compile(r"(/([^~/]|~[01])*)*", re.DOTALL)
_LEAKS = (b"Traceback", b'.py"', b"root:x:0:0")
_FAULTS_NAMED = "/v1/problems/unusable"


def complaint(sent: Sent, answer: Answer, *, longest_s: float) -> str | None:
    """What is wrong with the answer; None: nothing."""
    if not 200 <= answer.status < 500:
        return f"status {answer.status}"
    if answer.took_s > longest_s:
        return f"took {answer.took_s:.1f} s"
    if any(leak in answer.body for leak in _LEAKS):
        return "says more than it should"
    if answer.status < 400 or sent.method == "HEAD":
        return None
    return _of_problem(sent, answer)


def _of_problem(sent: Sent, answer: Answer) -> str | None:
    if "content-type: application/problem+json" not in answer.head.lower():
        return "not a problem document"
    try:
        problem = answer.problem
    except ValueError:
        return "a problem document that is not JSON"
    if problem.get("status") != answer.status or not {"type", "title", "detail", "errors"} <= set(problem):
        return "a problem document that lacks something"
    if problem["type"] == _FAULTS_NAMED and not problem["errors"]:
        return "no fault is named"
    return next((said for error in problem["errors"] if (said := _of_error(sent, error)) is not None), None)


def _of_error(sent: Sent, error: dict[str, Any]) -> str | None:
    if not error["found"] or not error["expected"]:
        return f"a fault without words: {error}"
    if error.get("parameter"):
        return None
    if not _POINTER.fullmatch(error["pointer"]):
        return f"no pointer: {error['pointer']!r}"
    if sent.data is not None and not _leads_into(sent.data, error["pointer"]):
        return f"the pointer leads nowhere: {error['pointer']!r}"
    return None


def _leads_into(data: Any, pointer: str) -> bool:
    """To a value that is there, or to one that is missing in a mapping or list that is there."""
    keys = [key.replace("~1", "/").replace("~0", "~") for key in pointer.split("/")[1:]]
    for place, key in enumerate(keys):
        if isinstance(data, dict) and key in data:
            data = data[key]
        elif isinstance(data, list) and key.isdigit() and int(key) < len(data):
            data = data[int(key)]
        else:
            return place == len(keys) - 1 and isinstance(data, dict | list)
    return True
