"""Who may do what over HTTP: bearer tokens (RFC 6750), scopes, the limit of requests, the audit."""

from __future__ import annotations

import asyncio
import io
import json
import logging
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute
from sqlalchemy.exc import OperationalError

from api.http.app import create_app
from api.http.caller import Needs, Operates, Reads
from api.jobs.supervisor import Supervisor
from api.keys.key_ring import KeyRing
from api.keys.key_text import new_key_text
from api.keys.keys import make, revoke
from api.keys.scopes import Scope
from api.logs import JsonLines
from api.readers.pool import ReaderPool
from api.settings import Settings
from api.store.database import Database

WITHOUT_A_KEY = {"/livez", "/readyz"}
"""The only addresses that are open to everybody."""


@dataclass(frozen=True, kw_only=True)
class Door:
    """The application, asked without a network."""

    app: FastAPI
    store: Database

    def ask(self, method: str, path: str, key: str | None = None, **more: Any) -> httpx.Response:
        headers = {**more.pop("headers", {}), **({} if key is None else {"Authorization": f"Bearer {key}"})}

        async def asked() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)
            async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
                return await client.request(method, path, headers=headers, **more)

        return asyncio.run(asked())

    def key(self, *scopes: Scope) -> str:
        with self.store.write() as connection:
            return make(connection, name="tests", scopes=scopes).text


@pytest.fixture
def open_door(store: Database) -> Iterator[Callable[..., Door]]:
    """Applications on one store; no jobs are worked on."""
    pools: list[ReaderPool] = []

    def opened(**settings: Any) -> Door:
        chosen = Settings(**settings)
        pools.append(ReaderPool(processes=1, limit_s=20.0, memory_mb=2000))
        app = create_app(store, Supervisor(store, chosen), pools[-1], KeyRing(store), chosen)
        return Door(app=app, store=store)

    yield opened
    for pool in pools:
        pool.close()


@pytest.fixture
def door(open_door: Callable[..., Door]) -> Door:
    return open_door()


def problem_of(answer: httpx.Response) -> dict[str, Any]:
    assert answer.headers["content-type"] == "application/problem+json"
    return dict(answer.json())


# ---- every route -----------------------------------------------------------------------------------------------


def needs_of(dependant: Dependant) -> set[Scope]:
    own = {dependant.call.scope} if isinstance(dependant.call, Needs) else set()
    return own.union(*(needs_of(each) for each in dependant.dependencies))


def test_every_route_asks_for_a_key(door: Door) -> None:
    """All that the application serves, but for the list above."""
    routes = list(all_routes(door.app.routes))
    assert len(routes) > 15
    assert {route.path for route in routes if not needs_of(route.dependant)} == WITHOUT_A_KEY


def test_what_changes_something_takes_more_than_reading(door: Door) -> None:
    """Every route with another method than GET."""
    writing = [route for route in all_routes(door.app.routes) if route.methods != {"GET"}]
    assert len(writing) > 5
    assert [route.path for route in writing if needs_of(route.dependant) <= {Scope.READ}] == []


def all_routes(routes: Iterable[Any]) -> Iterator[APIRoute]:
    """Also those of routers that the framework keeps as they were included; anything else would go unseen."""
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        else:
            yield from all_routes(route.original_router.routes)


def test_the_description_names_the_scope_of_every_route(door: Door) -> None:
    """OpenAPI 3.1: an http bearer scheme, and for each operation the role that it takes."""
    page = door.ask("GET", "/openapi.json", door.key(Scope.READ)).json()
    assert page["components"]["securitySchemes"]["key"].items() >= {"type": "http", "scheme": "bearer"}.items()
    operations = {
        (path, method): operation for path, methods in page["paths"].items() for method, operation in methods.items()
    }
    assert operations["/v1/keys", "get"]["security"] == [{"key": ["operate"]}]
    assert operations["/v1/jobs", "get"]["security"] == [{"key": ["read"]}]
    assert operations["/v1/layouts", "post"]["security"] == [{"key": ["submit"]}]
    assert {path for (path, _), operation in operations.items() if "security" not in operation} == WITHOUT_A_KEY


# ---- a key, or none --------------------------------------------------------------------------------------------


def test_without_a_key_the_answer_says_how_to_get_one(door: Door) -> None:
    """401 with a bare challenge: RFC 6750, 3.1, wants no error code where nothing was sent."""
    answer = door.ask("GET", "/v1/jobs")
    assert (answer.status_code, problem_of(answer)["type"]) == (401, "/v1/problems/unauthenticated")
    assert answer.headers["www-authenticate"] == 'Bearer realm="tapcall"'
    assert "tapcall keys add NAME --scope submit" in problem_of(answer)["detail"]


def test_a_store_that_does_not_answer_is_no_fault_of_the_key(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    """503 with Retry-After (RFC 9110, 15.6.4): neither 401, which would have the key thrown away, nor 500."""
    key = door.key(Scope.READ)

    def lost(_ring: KeyRing, _key: object) -> None:
        raise OperationalError("SELECT", {}, Exception("the store is away"))

    monkeypatch.setattr(KeyRing, "_look_up", lost)
    answer = door.ask("GET", "/v1/jobs", key)
    assert (answer.status_code, problem_of(answer)["type"]) == (503, "/v1/problems/unavailable")
    assert int(answer.headers["retry-after"]) > 0


@pytest.mark.parametrize("sent", ["Basic dXNlcjpwYXNz", "Bearer", "tapcall", "", "Token x"])
def test_another_scheme_counts_as_no_key(door: Door, sent: str) -> None:
    """The same bare challenge; what was sent instead is told."""
    answer = door.ask("GET", "/v1/jobs", headers={"Authorization": sent})
    assert (answer.status_code, answer.headers["www-authenticate"]) == (401, 'Bearer realm="tapcall"')
    assert ("not of this form" in problem_of(answer)["detail"]) == bool(sent)


def test_a_key_that_is_not_good_is_an_invalid_token(door: Door) -> None:
    """RFC 6750, 3.1: 401 and error=invalid_token for what is unknown, mistyped, revoked or no key at all."""
    revoked = door.key(Scope.READ)
    with door.store.write() as connection:
        revoke(connection, revoked.split("_")[1])
    for text in (revoked, new_key_text().text, revoked[:-1] + "é", "nonsense", "a" * 60_000, f"{revoked}, {revoked}"):
        answer = door.ask("GET", "/v1/jobs", headers={"Authorization": f"Bearer {text}".encode("latin-1")})
        assert answer.status_code == 401
        assert answer.headers["www-authenticate"] == 'Bearer realm="tapcall", error="invalid_token"'
        assert problem_of(answer)["title"] == "A key is needed"


def test_the_scheme_is_written_in_any_case(door: Door) -> None:
    """RFC 9110, 11.1."""
    answer = door.ask("GET", "/v1/jobs", headers={"Authorization": f"bearer {door.key(Scope.READ)}"})
    assert answer.status_code == 200


def test_a_key_in_the_address_opens_nothing(door: Door) -> None:
    """Addresses are logged on the way; RFC 6750, 2.3, advises against it."""
    assert door.ask("GET", f"/v1/problems/not-found?access_token={door.key(Scope.OPERATE)}").status_code == 401


@pytest.mark.parametrize(
    ("scope", "allowed"),
    [(Scope.READ, (200, 403, 403)), (Scope.SUBMIT, (200, 404, 403)), (Scope.OPERATE, (200, 404, 200))],
)
def test_a_scope_opens_its_own_routes_and_those_of_lesser_scopes(
    door: Door, scope: Scope, allowed: tuple[int, ...]
) -> None:
    """Reading, submitting (404: let in, to cancel what is not there), operating."""
    key = door.key(scope)
    asked = [("GET", "/v1/jobs"), ("POST", f"/v1/jobs/job_{'0' * 32}/cancel"), ("GET", "/v1/audit")]
    answers = [door.ask(method, path, key) for method, path in asked]
    assert tuple(answer.status_code for answer in answers) == allowed
    for answer in (each for each in answers if each.status_code == 403):
        assert problem_of(answer)["type"] == "/v1/problems/not-allowed"
        challenge = answer.headers["www-authenticate"]
        assert challenge.startswith('Bearer realm="tapcall", error="insufficient_scope", scope="')


def test_health_takes_no_key(door: Door) -> None:
    """A watchdog has none. Not ready is an answer too: nothing works on jobs here."""
    assert door.ask("GET", "/livez").status_code == 200
    assert door.ask("GET", "/readyz").status_code == 503


def test_with_keys_off_everybody_may_do_everything(open_door: Callable[..., Door]) -> None:
    """Also where a key that is not good is sent along."""
    door = open_door(keys=False)
    assert door.ask("GET", "/v1/audit").status_code == 200
    assert door.ask("GET", "/v1/audit", "nonsense").status_code == 200


# ---- keys and the audit over HTTP --------------------------------------------------------------------------------


def test_a_key_is_made_used_rotated_and_revoked(door: Door) -> None:
    """Shown once and never stored by a cache; listed without its text; refused after its end."""
    operator = door.key(Scope.OPERATE)
    answer = door.ask("POST", "/v1/keys", operator, json={"name": "crane", "scopes": ["submit"], "days": 30})
    made = answer.json()
    assert (answer.status_code, answer.headers["cache-control"]) == (201, "no-store")
    assert answer.headers["location"] == made["links"]["self"] == f"/v1/keys/{made['id']}"
    assert door.ask("GET", "/v1/jobs", made["key"]).status_code == 200
    listed = door.ask("GET", "/v1/keys", operator).json()["items"]
    assert [(each["name"], each["scopes"], "key" in each) for each in listed] == [
        ("crane", ["submit"], False),
        ("tests", ["operate"], False),
    ]
    assert "sha256" not in json.dumps(listed)
    rotated = door.ask("POST", made["links"]["rotate"] + "?overlap_s=0", operator)
    assert rotated.status_code == 201
    assert door.ask("GET", "/v1/jobs", made["key"]).status_code == 401
    assert door.ask("GET", "/v1/jobs", rotated.json()["key"]).status_code == 200
    for _ in range(2):
        assert door.ask("DELETE", rotated.json()["links"]["self"], operator).status_code == 204
    assert door.ask("GET", "/v1/jobs", rotated.json()["key"]).status_code == 401
    assert "revoked_at" in door.ask("GET", rotated.json()["links"]["self"], operator).json()
    ended = door.ask("POST", rotated.json()["links"]["rotate"], operator)
    assert problem_of(ended)["type"] == "/v1/problems/ended"
    assert ended.status_code == 409


def test_a_rotated_key_goes_on_for_the_overlap(door: Door) -> None:
    """A day unless said otherwise."""
    operator, old = door.key(Scope.OPERATE), door.key(Scope.READ)
    assert door.ask("POST", f"/v1/keys/{old.split('_')[1]}/rotate", operator).status_code == 201
    assert door.ask("GET", "/v1/jobs", old).status_code == 200


@pytest.mark.parametrize(
    ("sent", "pointers"),
    [({}, {"/name", "/scopes"}), ({"name": "", "scopes": []}, {"/name", "/scopes"}),
     ({"name": "a", "scopes": ["conquer"]}, {"/scopes/0"}), ({"name": "a", "scopes": ["read"], "days": 0}, {"/days"}),
     ({"name": "a\0", "scopes": ["read"]}, {"/name"}), ({"name": "a", "scopes": ["read"], "admin": True}, {"/admin"})],
)  # fmt: skip
def test_a_request_for_a_key_is_told_what_to_mend(door: Door, sent: dict[str, Any], pointers: set[str]) -> None:
    """422 with the pointer to each field."""
    answer = door.ask("POST", "/v1/keys", door.key(Scope.OPERATE), json=sent)
    assert answer.status_code == 422
    assert {error["pointer"] for error in problem_of(answer)["errors"]} == pointers


@pytest.mark.parametrize("key_id", ["0" * 16, "x", "0" * 15 + "%00", "0" * 17])
def test_a_key_that_is_not_there_is_not_found(door: Door, key_id: str) -> None:
    """To be read, to be revoked, to be rotated."""
    operator, path = door.key(Scope.OPERATE), f"/v1/keys/{key_id}"
    asked = [("GET", path), ("DELETE", path), ("POST", f"{path}/rotate")]
    assert [door.ask(method, each, operator).status_code for method, each in asked] == [404, 404, 404]


def test_every_change_stands_in_the_audit(door: Door) -> None:
    """With the key that made it and the id of the request; walked by its links, newest first."""
    operator = door.key(Scope.OPERATE)
    asked = {"name": "crane", "scopes": ["read"]}
    made = door.ask("POST", "/v1/keys", operator, json=asked, headers={"X-Request-Id": "shift-1"}).json()
    door.ask("DELETE", made["links"]["self"], operator, headers={"X-Request-Id": "shift-2"})
    entries, address = [], "/v1/audit?limit=1"
    while address is not None:
        page = door.ask("GET", address, operator).json()
        entries += page["items"]
        address = page.get("next")
    assert [(each["action"], each["subject"], each["request_id"]) for each in entries] == [
        ("key.revoke", made["id"], "shift-2"),
        ("key.add", made["id"], "shift-1"),
    ]
    assert {each["key_id"] for each in entries} == {operator.split("_")[1]}


# ---- the limit ---------------------------------------------------------------------------------------------------


def test_a_key_has_so_many_requests_in_a_minute(open_door: Callable[..., Door]) -> None:
    """Then 429 with Retry-After (RFC 6585, 4); another key has its own; health has no limit."""
    door = open_door(requests_per_minute=3)
    first, second = door.key(Scope.READ), door.key(Scope.READ)
    assert [door.ask("GET", "/v1/jobs", first).status_code for _ in range(4)] == [200, 200, 200, 429]
    refused = door.ask("GET", "/v1/jobs", first)
    assert problem_of(refused)["type"] == "/v1/problems/too-many-requests"
    assert 1 <= int(refused.headers["retry-after"]) <= 60
    assert door.ask("GET", "/v1/jobs", second).status_code == 200
    assert [door.ask("GET", "/livez").status_code for _ in range(5)] == [200] * 5


def test_without_keys_an_address_has_so_many_requests_in_a_minute(open_door: Callable[..., Door]) -> None:
    """Whatever is sent as a key."""
    door = open_door(requests_per_minute=2, keys=False)
    assert [door.ask("GET", "/v1/jobs", f"k{number}").status_code for number in range(3)] == [200, 200, 429]


def test_a_request_counts_once_however_often_its_key_is_looked_at(open_door: Callable[..., Door]) -> None:
    """Each part of a route may ask who calls."""
    door = open_door(requests_per_minute=2)

    @door.app.get("/both")
    def both(reads: Reads, operates: Operates) -> bool:
        return reads == operates

    operator = door.key(Scope.OPERATE)
    assert [door.ask("GET", "/both", operator).status_code for _ in range(3)] == [200, 200, 429]


def test_keys_cannot_be_tried_without_end(open_door: Callable[..., Door]) -> None:
    """Where there is a limit it holds for an address that sends no good key, too, and for no one else there."""
    door = open_door(requests_per_minute=2)
    tried = [door.ask("GET", "/v1/jobs", new_key_text().text).status_code for _ in range(3)]
    assert tried == [401, 401, 429]
    assert door.ask("GET", "/v1/jobs", door.key(Scope.READ)).status_code == 200


def test_there_is_no_limit_unless_one_is_set(door: Door) -> None:
    """The default is 0."""
    key = door.key(Scope.READ)
    assert {door.ask("GET", "/v1/jobs", key).status_code for _ in range(50)} == {200}


# ---- the log -----------------------------------------------------------------------------------------------------


@pytest.fixture
def log_text() -> Iterator[io.StringIO]:
    """What the service would write to stderr at its most talkative."""
    stream = io.StringIO()
    handler, root = logging.StreamHandler(stream), logging.getLogger()
    handler.setFormatter(JsonLines())
    before = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    yield stream
    root.removeHandler(handler)
    root.setLevel(before)


def test_the_log_names_the_key_and_never_holds_it(door: Door, log_text: io.StringIO) -> None:
    """Sent as it should be, in an address, in a query, in a body, and when it is made."""
    operator = door.key(Scope.OPERATE)
    made = door.ask("POST", "/v1/keys", operator, json={"name": "crane", "scopes": ["read"]}).json()
    door.ask("GET", f"/v1/keys/{operator}", operator)
    door.ask("GET", f"/v1/jobs?cursor={operator}", operator)
    door.ask("POST", "/v1/keys", operator, json={"name": operator, "scopes": [operator]})
    door.ask("GET", "/v1/jobs", operator[:-1])
    text = log_text.getvalue()
    lines = [json.loads(line) for line in text.splitlines()]
    requests = [line for line in lines if line["message"] == "request"]
    assert len(requests) == 5
    assert [line["key"] for line in requests] == [operator.split("_")[1]] * 4 + [None]
    for secret in (operator.split("_")[2], made["key"].split("_")[2]):
        assert secret[:-1] not in text
