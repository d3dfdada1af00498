"""The OpenAPI page itself: valid, whole, readable, true to the service, and only growing."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from openapi_schema_validator import OAS31Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from optimiser.case.unit_of_field import unit_of_field

PUBLISHED = json.loads(Path(__file__).with_name("published_page.json").read_text("utf-8"))
"""Of the page: all operations, and of each document what its reader or its writer may rely on. Lines are added only."""
WITHOUT_UNIT = re.compile(r"(^|_)(fraction|share)$")
"""Numbers from 0 to 1."""
VERBS = "get|post|put|delete|rotate|cancel|send|withdraw|reinstate"
UNIT_INSIDE = {"seconds_per_action", "resin_density_kg_per_m3", "initiator_range_percent"}
JSON = "application/json"
PROBLEM = "application/problem+json"


@pytest.fixture(scope="module")
def page(service: Any) -> dict[str, Any]:
    return dict(service.client.get("/openapi.json").json())


def operations(page: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Method, path and operation."""
    for path, methods in page["paths"].items():
        yield from ((method, path, operation) for method, operation in methods.items())


def resolved(page: dict[str, Any], node: dict[str, Any]) -> dict[str, Any]:
    """What the node stands for."""
    if "$ref" not in node:
        return node
    found: Any = page
    for key in urlsplit(node["$ref"]).fragment.split("/")[1:]:
        found = found[key]
    return dict(found)


def test_the_page_is_openapi_3_1(page: dict[str, Any]) -> None:
    """By the schema of the OpenAPI Initiative and the rules beyond it, as openapi-spec-validator holds them."""
    assert page["openapi"].startswith("3.1.")
    assert list(OpenAPIV31SpecValidator(page).iter_errors()) == []


def test_every_reference_leads_somewhere(page: dict[str, Any]) -> None:
    """Within the page."""
    references = list(_references(page))
    assert len(references) > 300
    for reference in references:
        assert reference.startswith("#/")
        assert resolved(page, {"$ref": reference})


def _references(node: Any) -> Iterator[str]:
    if isinstance(node, dict):
        if isinstance(node.get("$ref"), str):
            yield node["$ref"]
        node = list(node.values())
    for each in node if isinstance(node, list) else ():
        yield from _references(each)


def test_operations_are_named_so_that_generated_code_reads_well(page: dict[str, Any]) -> None:
    """The name of the function that answers, once each; a sentence; one tag that the page explains."""
    names = [operation["operationId"] for _, _, operation in operations(page)]
    assert sorted(set(names)) == sorted(names)
    explained = {tag["name"] for tag in page["tags"] if tag["description"]}
    for _, _, operation in operations(page):
        assert re.fullmatch(rf"({VERBS})(_[a-z]+)+", operation["operationId"])
        assert "v1" not in operation["operationId"]
        assert operation["description"].endswith(".")
        assert operation["summary"]
        assert len(operation["tags"]) == 1
        assert set(operation["tags"]) <= explained


def test_every_field_and_every_parameter_is_described(page: dict[str, Any]) -> None:
    """Each with a sentence; each document too."""
    mute = [
        f"{name}.{field}"
        for name, schema in page["components"]["schemas"].items()
        for field, described in schema.get("properties", {}).items()
        if not described.get("description")
    ]
    mute += [n for n, s in page["components"]["schemas"].items() if "enum" not in s and not s.get("description")]
    mute += [
        f"{operation['operationId']}({parameter['name']})"
        for _, _, operation in operations(page)
        for parameter in operation.get("parameters", [])
        if not parameter.get("description")
    ]
    assert mute == []


def test_every_number_has_its_unit_in_its_name(page: dict[str, Any]) -> None:
    """Or is a share from 0 to 1."""
    numbers = {
        name
        for schema in page["components"]["schemas"].values()
        for name, field in schema.get("properties", {}).items()
        if _holds_number(field)
    }
    assert len(numbers) > 80
    assert {each for each in numbers if not unit_of_field(each) and not WITHOUT_UNIT.search(each)} <= UNIT_INSIDE


def _holds_number(field: dict[str, Any]) -> bool:
    inner = [*field.get("anyOf", ()), *field.get("prefixItems", ())]
    inner += [field["items"]] if isinstance(field.get("items"), dict) else []
    return field.get("type") == "number" or any(map(_holds_number, inner))


def test_every_answer_says_what_it_holds(page: dict[str, Any]) -> None:
    """A description, the request's id, and a schema unless there is no body; what is binary says so."""
    for _, _, operation in operations(page):
        for status, answer in operation["responses"].items():
            said = resolved(page, answer)
            assert said["description"]
            assert "X-Request-Id" in said["headers"]
            assert all(resolved(page, header)["description"] for header in said["headers"].values())
            assert ("content" not in said) == (status in ("204", "304"))
            for media_type, content in said.get("content", {}).items():
                is_binary = media_type == "application/pdf" or "officedocument" in media_type
                assert content["schema"]
                assert (content["schema"].get("format") == "binary") == is_binary


def test_the_headers_that_a_client_needs_are_described(page: dict[str, Any]) -> None:
    """Where RFC 9110 and this service promise them."""
    for method, _, operation in operations(page):
        answers = {status: resolved(page, answer) for status, answer in operation["responses"].items()}
        headers = {status: set(answer["headers"]) for status, answer in answers.items()}
        taken = {parameter["name"] for parameter in operation.get("parameters", ())}
        good = [status for status in answers if status.startswith("2")]
        assert all("Location" in headers[status] for status in ("201", "202") if status in answers)
        assert headers.get("202", {"Retry-After"}) & {"Retry-After"} or operation["operationId"] == "send_test_delivery"
        assert all("ETag" in headers[status] for status in ("304", "412") if status in answers)
        assert ("304" in answers) == ("If-None-Match" in taken)
        assert all(("Idempotent-Replayed" in headers[status]) == ("Idempotency-Key" in taken) for status in good)
        assert method != "put" or {"If-Match", "ETag"} <= taken | headers["200"]


def test_the_problems_that_can_occur_are_declared(page: dict[str, Any]) -> None:
    """401, 403, 429, 503 behind a key; 404 for ids; 412 and 428 with If-Match; 408, 413, 415, 422 with a body."""
    for _, path, operation in operations(page):
        taken = {parameter["name"] for parameter in operation.get("parameters", ())}
        expected = {"default"}
        expected |= {"401", "403", "429", "503"} if "security" in operation else set()
        expected |= {"404"} if "{" in path else set()
        expected |= {"412", "428"} if "If-Match" in taken else set()
        expected |= {"408", "413", "415", "422"} if "requestBody" in operation else set()
        expected |= {"422"} if taken & {"limit", "cursor", "Idempotency-Key"} else set()
        assert expected <= set(operation["responses"])
        for status in set(operation["responses"]) - {"200", "201", "202", "204", "304"}:
            problem = resolved(page, operation["responses"][status])["content"]
            assert problem[PROBLEM]["schema"] == {"$ref": "#/components/schemas/ProblemDocument"}


def examples_of(schema: dict[str, Any]) -> list[Any]:
    return list(schema.get("examples", []))


def test_the_examples_of_documents_fit_their_schemas(page: dict[str, Any]) -> None:
    """JSON Schema 2020-12, as jsonschema holds it; each request and the main answers have one."""
    shown = {name: examples_of(schema) for name, schema in page["components"]["schemas"].items()}
    for name, examples in shown.items():
        validator = OAS31Validator({"$ref": f"#/components/schemas/{name}", "components": page["components"]})
        for example in examples:
            assert list(map(str, validator.iter_errors(example))) == []
    answers = {"JobDocument", "RevisedListing", "PlanListing", "RevalidationDocument", "KeyDocument", "NewKeyDocument"}
    answers |= {"WebhookDocument", "WebhookWithSecret", "ProblemDocument"}
    assert {name for name in answers if not shown[name]} == set()


def request_examples(page: dict[str, Any]) -> Iterator[tuple[str, str, Any]]:
    """Method, path and a body."""
    for method, path, operation in operations(page):
        if "requestBody" not in operation:
            continue
        schema = resolved(page, operation["requestBody"]["content"][JSON]["schema"])
        yield from ((method, path, each) for each in examples_of(schema) or [None])


def test_every_example_of_a_request_is_taken(service: Any, page: dict[str, Any], tiny_job: dict[str, Any]) -> None:
    """Sent as it stands, but for ids and the resin of a filter, which are those of what is there."""
    there = {"layout_id": tiny_job["layout_id"], "plans": {"resin": "demo resin"}}
    webhook = service.client.post("/v1/webhooks", json={"url": "https://planning.invalid/told"}).json()["id"]
    plan = tiny_job["result"]["plan_id"]
    for method, path, example in request_examples(page):
        assert example is not None, f"{method} {path} has no example"
        if method == "put":  # as the POST of the same document
            continue
        sent = example | {name: value for name, value in there.items() if name in example}
        address = path.replace("{webhook_id}", webhook).replace("{plan_id}", plan)
        answer = service.client.request(method, address, json=sent)
        assert answer.status_code in (200, 201, 202), f"{method} {path}: {answer.text}"
        if "job" in answer.headers.get("location", ""):
            service.client.post(f"{answer.headers['location']}/cancel")
    service.client.post(f"/v1/plans/{plan}/reinstate")


# ---- only growing ----------------------------------------------------------------------------------------------


def test_operations_only_grow(page: dict[str, Any]) -> None:
    """None is renamed, moved or dropped; a new one is written down beside the others."""
    now = {operation["operationId"]: f"{method.upper()} {path}" for method, path, operation in operations(page)}
    assert now == PUBLISHED["operations"]


def test_answers_keep_what_their_readers_rely_on(page: dict[str, Any]) -> None:
    """What was always there is still always there."""
    schemas = page["components"]["schemas"]
    for name, fields in PUBLISHED["always_in_answers"].items():
        assert set(fields) - set(schemas[name]["required"]) == set(), name
    answers = {each for each in schemas if each.endswith(("Document", "Listing", "Page", "Report", "Entry"))}
    assert answers - set(PUBLISHED["always_in_answers"]) == set()


def test_requests_ask_for_nothing_more(page: dict[str, Any]) -> None:
    """What clients send is still taken: no field is dropped, and none has become required."""
    schemas = page["components"]["schemas"]
    for name, fields in PUBLISHED["taken_in_requests"].items():
        assert set(fields["all"]) - set(schemas[name]["properties"]) == set(), name
        assert set(schemas[name].get("required", ())) == set(fields["required"]), name
    requests = {each for each in schemas if each.endswith("Request")}
    assert requests - set(PUBLISHED["taken_in_requests"]) == set()
