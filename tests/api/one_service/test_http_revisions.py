"""Layouts and resins with revisions: nothing is overwritten, and a request sent twice acts once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any
from uuid import uuid4

import pytest

YAML = {"Content-Type": "application/yaml"}


def _named(source: bytes, name: str) -> bytes:
    return source.replace(b"name: tiny panel", f"name: {name}".encode())


@pytest.fixture
def layout(service: Any, tiny_source: bytes) -> dict[str, Any]:
    """A layout of its own for each test, in its first revision."""
    return dict(service.keep(_named(tiny_source, f"panel {uuid4().hex}")))


def test_a_new_layout_is_told_with_its_address_and_tag(service: Any, tiny_source: bytes) -> None:
    """201, Location and ETag (RFC 9110, 15.3.2 and 8.8.3); the tag is that of a later GET."""
    answer = service.client.post("/v1/layouts", content=_named(tiny_source, f"panel {uuid4().hex}"), headers=YAML)
    assert (answer.status_code, answer.json()["revision"]) == (201, 1)
    read = service.client.get(answer.headers["location"])
    assert read.headers["etag"] == answer.headers["etag"]
    assert service.client.get(answer.headers["location"], headers={"If-None-Match": "*"}).status_code == 304


def test_a_change_makes_a_revision_and_keeps_the_one_before(
    service: Any, layout: dict[str, Any], tiny_source: bytes
) -> None:
    """Each revision is given back as it was sent in."""
    address = layout["links"]["self"]
    tag = service.client.get(address).headers["etag"]
    changed = _named(tiny_source, "changed panel").replace(b"hands: 1", b"hands: 2")
    answer = service.client.put(address, content=changed, headers={**YAML, "If-Match": tag})
    assert (answer.status_code, answer.json()["revision"]) == (200, 2)
    revisions = service.client.get(layout["links"]["revisions"]).json()["items"]
    assert [each["revision"] for each in revisions] == [2, 1]
    first, second = (service.client.get(f"{address}/revisions/{number}").json() for number in (1, 2))
    assert first["case"]["name"] == layout["name"]
    assert (second["case"]["name"], second["newest_revision"]) == ("changed panel", 2)
    odd = [service.client.get(f"{address}/revisions/{number}").status_code for number in ("+1", "01", "1.0", "%201")]
    assert odd == [404] * 4


def test_the_same_content_makes_no_revision(service: Any, layout: dict[str, Any]) -> None:
    """Sent again in another order of keys, nothing has changed."""
    address = layout["links"]["self"]
    read = service.client.get(address)
    turned = dict(reversed(read.json()["case"].items()))
    answer = service.client.put(address, json=turned, headers={"If-Match": read.headers["etag"]})
    assert (answer.status_code, answer.json()["revision"]) == (200, 1)


def test_a_change_without_a_tag_or_with_an_old_one_is_refused(
    service: Any, layout: dict[str, Any], tiny_source: bytes
) -> None:
    """428 (RFC 6585, 3) and 412 (RFC 9110, 13.1.1); the newest tag comes along."""
    address = layout["links"]["self"]
    tag = service.client.get(address).headers["etag"]
    changed = _named(tiny_source, f"panel {uuid4().hex}")
    assert service.client.put(address, content=changed, headers=YAML).status_code == 428
    newest = service.client.put(address, content=changed, headers={**YAML, "If-Match": tag}).headers["etag"]
    refused = service.client.put(address, content=_named(tiny_source, "late"), headers={**YAML, "If-Match": tag})
    assert (refused.status_code, refused.headers["etag"]) == (412, newest)
    assert service.client.get(address).json()["revision"] == 2


def test_if_match_takes_lists_and_only_strong_tags(service: Any, layout: dict[str, Any], tiny_source: bytes) -> None:
    """Strong comparison (RFC 9110, 13.1.1 and 8.8.3.2): a weak tag never matches, one of a list or `*` does."""
    address = layout["links"]["self"]

    def change(*tags: str) -> int:
        body = _named(tiny_source, f"panel {uuid4().hex}")
        headers = [*YAML.items(), *(("If-Match", tag) for tag in tags)]
        return int(service.client.put(address, content=body, headers=headers).status_code)

    def newest() -> str:
        return str(service.client.get(address).headers["etag"])

    assert [change(f"W/{newest()}"), change(f'"other,one", W/{newest()}'), change('""')] == [412] * 3
    assert [change(f'"other,one", ,{newest()}'), change('"other"', newest()), change("*")] == [200] * 3
    assert [change(newest().strip('"')), change(f'{newest()}, "open'), change(f"*, {newest()}")] == [422] * 3
    assert service.client.get(address).json()["revision"] == 4


def test_of_two_changes_at_once_one_is_refused(service: Any, layout: dict[str, Any], tiny_source: bytes) -> None:
    """Ten writers with the same tag: one new revision."""
    address = layout["links"]["self"]
    tag = service.client.get(address).headers["etag"]

    def change(number: int) -> int:
        body = _named(tiny_source, f"writer {number} {uuid4().hex}")
        return int(service.client.put(address, content=body, headers={**YAML, "If-Match": tag}).status_code)

    with ThreadPoolExecutor(10) as pool:
        statuses = sorted(pool.map(change, range(10)))
    assert statuses == [200, *[412] * 9]


def test_a_request_sent_twice_with_its_key_acts_once(service: Any, tiny_source: bytes) -> None:
    """Same status, same body, same Location; marked as a repetition; another body under the key is refused."""
    headers = {**YAML, "Idempotency-Key": uuid4().hex}
    body = _named(tiny_source, f"panel {uuid4().hex}")
    first = service.client.post("/v1/layouts", content=body, headers=headers)
    again = service.client.post("/v1/layouts", content=body, headers=headers)
    assert (first.status_code, again.status_code) == (201, 201)
    assert (again.content, again.headers["location"]) == (first.content, first.headers["location"])
    assert "idempotent-replayed" not in first.headers
    assert again.headers["idempotent-replayed"] == "true"
    other = service.client.post("/v1/layouts", content=_named(tiny_source, "other"), headers=headers)
    assert (other.status_code, other.json()["type"]) == (422, "/v1/problems/key-reused")


@pytest.mark.parametrize("second", ["a", "b"])
def test_two_keys_on_one_request_are_refused(service: Any, layout: dict[str, Any], second: str) -> None:
    """422, also where both are the same: it is unclear which of them counts."""
    headers = [("Idempotency-Key", "a"), ("Idempotency-Key", second)]
    answer = service.client.post("/v1/plans", json={"layout_id": layout["id"]}, headers=headers)
    assert answer.status_code == 422
    assert [error["parameter"] for error in answer.json()["errors"]] == ["Idempotency-Key"]


def test_twenty_requests_at_once_with_one_key_act_once(service: Any, layout: dict[str, Any]) -> None:
    """They all get the reply of the first."""
    headers = {"Idempotency-Key": uuid4().hex}
    body = {"layout_id": layout["id"], "changes": {"crew": {"hands": 3}}}

    def ask(_: int) -> bytes:
        return bytes(service.client.post("/v1/plans", json=body, headers=headers).content)

    with ThreadPoolExecutor(20) as pool:
        assert len(set(pool.map(ask, range(20)))) == 1


def test_lists_are_filtered_by_name(service: Any, layout: dict[str, Any]) -> None:
    """Only the layout of just this name."""
    found = service.client.get("/v1/layouts", params={"name": layout["name"]}).json()["items"]
    assert [each["id"] for each in found] == [layout["id"]]


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ({}, {"/layout_id"}),
        ({"layout_id": "layout_" + "0" * 32}, {"/layout_id"}),
        ({"layout_id": 7, "colour": "red"}, {"/layout_id", "/colour"}),
        ([], {""}),
    ],
)
def test_a_request_that_cannot_be_used_names_its_fields(service: Any, body: Any, pointers: set[str]) -> None:
    """422 with RFC 6901 pointers into the body that was sent."""
    answer = service.client.post("/v1/plans", json=body)
    assert answer.status_code == 422
    assert {error["pointer"] for error in answer.json()["errors"]} == pointers


@pytest.mark.parametrize(
    ("step", "pointer"),
    [
        ({"action": "open", "label": "no such", "when": {"start": True}}, "/sequence/steps/0/label"),
        ({"action": "open", "label": 7, "when": {"start": True}}, "/sequence/steps/0/label"),
        ({"action": "open", "label": "x" * 13, "when": {"start": True}}, "/sequence/steps/0/label"),
    ],
    ids=["unknown", "no text", "too long"],
)
def test_a_fault_of_a_sequence_is_named_where_the_request_has_it(
    service: Any, layout: dict[str, Any], step: dict[str, Any], pointer: str
) -> None:
    """422 with a pointer (RFC 6901) into the body, wherever the fault was found."""
    answer = service.client.post("/v1/checks", json={"layout_id": layout["id"], "sequence": {"steps": [step]}})
    assert answer.status_code == 422
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}


def test_changes_may_touch_settings_and_nothing_else(service: Any, layout: dict[str, Any]) -> None:
    """A merge patch (RFC 7396) over the part itself is refused with its place."""
    answer = service.client.post("/v1/plans", json={"layout_id": layout["id"], "changes": {"vents": []}})
    assert answer.status_code == 422
    assert {error["pointer"] for error in answer.json()["errors"]} == {"/changes/vents"}


def test_a_key_sent_again_under_another_condition_is_another_request(service: Any, tiny_source: bytes) -> None:
    """If-Match is part of what is asked for: the first answer would say that a change was made which was not."""
    made = service.client.post("/v1/layouts", content=_named(tiny_source, f"panel {uuid4().hex}"), headers=YAML)
    address, key = made.headers["location"], {**YAML, "Idempotency-Key": "change once"}
    changed = _named(tiny_source, f"panel {uuid4().hex}")
    sent = {**key, "If-Match": made.headers["etag"]}
    first = service.client.put(address, content=changed, headers=sent)
    assert first.status_code == 200, first.text
    assert service.client.put(address, content=changed, headers=sent).json() == first.json()
    other = service.client.put(address, content=changed, headers={**key, "If-Match": first.headers["etag"]})
    assert (other.status_code, other.json()["type"]) == (422, "/v1/problems/key-reused")
