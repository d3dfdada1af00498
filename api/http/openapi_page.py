"""The OpenAPI page, completed with what follows from each operation: summary, problems, headers of every answer."""

from __future__ import annotations

from typing import Any

from api.http.answers import REPLAYED, REQUEST_ID
from api.http.document import leave_out_null
from api.http.layout_document import LAYOUT_EXAMPLE
from api.http.problem_answers import ANY_OTHER, problem_responses, problems_of, reference
from api.http.resin_document import RESIN_EXAMPLE

TAGS = [
    {"name": "layouts", "description": "The case documents that engineers send in, every revision kept."},
    {"name": "resins", "description": "Data sheets with batches and their tests, every revision kept."},
    {"name": "plans", "description": "Asked for, and read in every form that a person or a program may want."},
    {"name": "revalidations", "description": "Stored sequences judged again after a change of resin or temperature."},
    {"name": "jobs", "description": "Long work: where it stands, its events, its end."},
    {"name": "webhooks", "description": "Receivers that are told of the end of jobs."},
    {"name": "keys", "description": "Who may do what."},
    {"name": "audit", "description": "Every change that was made, by whom and when."},
    {"name": "service", "description": "What the service says about itself."},
]


def completed(page: dict[str, Any]) -> dict[str, Any]:
    """The page, changed in place."""
    components = page["components"]
    components["responses"] = problem_responses()
    components["headers"] = REQUEST_ID
    components["schemas"]["WrittenCase"] = _written("A case", "case", LAYOUT_EXAMPLE)
    components["schemas"]["WrittenResin"] = _written("A data sheet with batches and tests", "resin", RESIN_EXAMPLE)
    for path, operations in page["paths"].items():
        for operation in operations.values():
            _complete(path, operation)
    for response in components["responses"].values():
        _add_request_id(response)
    return page


def _written(what: str, name: str, example: dict[str, Any]) -> dict[str, Any]:
    """The schema of a body that its reader knows; whole, it would be most of the page."""
    described = f"{what}, as written by a person or a program; GET /v1/schema/{name} has every field."
    return {"type": "object", "additionalProperties": True, "description": described, "examples": [example]}


def _complete(path: str, operation: dict[str, Any]) -> None:
    operation["summary"] = operation["description"].partition(". ")[0].rstrip(".")
    for parameter in operation.get("parameters", ()):
        leave_out_null(parameter["schema"])  # there is no null in an address or a header
    for body in operation.get("requestBody", {}).get("content", {}).values():
        leave_out_null(body["schema"])
    answers = operation["responses"]
    for kind in problems_of(path, operation):
        answers[str(kind.status)] = reference(kind)
    answers["default"] = dict(ANY_OTHER)
    replayed = any(each["name"] == "Idempotency-Key" for each in operation.get("parameters", ()))
    for status, response in answers.items():
        if "$ref" not in response:
            _add_request_id(response)
            if replayed and status.startswith("2"):
                response["headers"] |= REPLAYED


def _add_request_id(response: dict[str, Any]) -> None:
    response["headers"] = response.get("headers", {}) | {"X-Request-Id": {"$ref": "#/components/headers/X-Request-Id"}}
