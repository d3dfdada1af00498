"""Webhooks over HTTP: made, shown, tested, given a new secret, ended."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anyio
import httpx
import pytest
from fastapi import FastAPI
from standardwebhooks import Webhook

from api.http.identify import Identify
from api.http.outermost import Outermost
from api.http.problem_handlers import install_problem_handlers
from api.http.request_limit import RequestLimit
from api.http.routes import webhooks as routes
from api.keys.key_ring import KeyRing
from api.settings import Settings

WaitFor = Callable[..., Any]


def application(office: Any, **changed: Any) -> FastAPI:
    app = FastAPI()
    app.include_router(routes.router)
    install_problem_handlers(app)
    settings: Settings = office.settings.model_copy(update={"keys": False, **changed})
    app.state.store, app.state.settings = office.store, settings
    app.state.writers = anyio.CapacityLimiter(1)
    keys = KeyRing(office.store) if settings.keys else None
    app.add_middleware(Identify, keys=keys, limit=RequestLimit(0))
    app.add_middleware(Outermost, only_loopback=False)
    return app


class Client:
    """Asks the application as a server would hand it the requests."""

    def __init__(self, app: FastAPI) -> None:
        self._transport = httpx.ASGITransport(app=app)

    def ask(self, method: str, address: str, **sent: Any) -> httpx.Response:
        async def answer() -> httpx.Response:
            async with httpx.AsyncClient(transport=self._transport, base_url="http://localhost") as client:
                return await client.request(method, address, **sent)

        return anyio.run(answer)

    def get(self, address: str) -> httpx.Response:
        return self.ask("GET", address)

    def post(self, address: str, **sent: Any) -> httpx.Response:
        return self.ask("POST", address, **sent)

    def delete(self, address: str) -> httpx.Response:
        return self.ask("DELETE", address)


@pytest.fixture
def client(office: Any) -> Client:
    return Client(application(office))


def made(client: Client, url: str, **asked: Any) -> dict[str, Any]:
    answer = client.post("/v1/webhooks", json={"url": url, **asked})
    assert answer.status_code == 201, answer.text
    return dict(answer.json())


def test_a_secret_is_shown_when_it_is_made_and_never_again(client: Client, receiver: Any) -> None:
    """24 to 64 bytes in base64 behind whsec_ (Standard Webhooks, 'Signature scheme', from memory)."""
    webhook = made(client, receiver.url, events=["job.failed"])
    assert 24 <= len(Webhook(webhook["secret"])._whsecret) <= 64
    shown = client.get(webhook["links"]["self"])
    listed = client.get("/v1/webhooks")
    assert webhook["secret"].startswith("whsec_")
    assert shown.json() == {key: value for key, value in webhook.items() if key != "secret"}
    assert listed.json()["items"] == [shown.json()]
    assert "secret" not in listed.text.replace("earlier_secret_until", "")


def test_the_same_request_sent_again_makes_one_webhook(client: Client, receiver: Any) -> None:
    """With the same Idempotency-Key: the secret is not told twice, so the repetition is refused and says why."""
    headers = {"Idempotency-Key": "once"}
    answers = [client.post("/v1/webhooks", json={"url": receiver.url}, headers=headers) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 409]
    assert answers[0].json()["id"] in answers[1].json()["detail"]
    assert "whsec_" not in answers[1].text
    assert len(client.get("/v1/webhooks").json()["items"]) == 1


def test_a_test_delivery_arrives_and_is_listed(client: Client, office: Any, receiver: Any, wait_for: WaitFor) -> None:
    """What was sent, how often, and what was answered."""
    webhook = made(client, receiver.url)
    asked = client.post(f"{webhook['links']['self']}/test")
    assert (asked.status_code, asked.json()["state"]) == (202, "waiting")
    with office.couriered():
        wait_for(office.is_delivered, "the delivery")
    (listed,) = client.get(asked.headers["location"]).json()["items"]
    assert (listed["state"], listed["tries"], listed["last_answer"]) == ("delivered", 1, "HTTP 204")
    ((headers, body),) = receiver.got
    assert Webhook(webhook["secret"]).verify(body, headers)["type"] == "webhook.test"
    assert (headers["webhook-id"], body) == (listed["id"], listed["payload"])


def test_deliveries_come_in_pages(client: Client, office: Any, receiver: Any) -> None:
    """Newest first; following `next` meets each once."""
    address = made(client, receiver.url)["links"]["deliveries"]
    office.told(times=5)
    pages, link = [], f"{address}?limit=2"
    while link:
        page = client.get(link).json()
        pages.append([item["id"] for item in page["items"]])
        link = page.get("next")
    assert [len(page) for page in pages] == [2, 2, 1]
    assert {each for page in pages for each in page} == {row.id for row in office.kept()}


def test_a_new_secret_overlaps_the_one_before(client: Client, receiver: Any) -> None:
    """For a day unless asked otherwise; a body is not needed."""
    webhook = made(client, receiver.url)
    rotated = client.post(f"{webhook['links']['self']}/rotate").json()
    assert rotated["secret"] != webhook["secret"]
    assert rotated["earlier_secret_until"] > webhook["created_at"]
    too_long = client.post(f"{webhook['links']['self']}/rotate", json={"overlap_s": 10**9})
    assert too_long.json()["errors"][0]["pointer"] == "/overlap_s"


def test_a_deleted_webhook_can_be_read_but_does_nothing(client: Client, receiver: Any) -> None:
    """Neither a test nor a new secret; deleting it again changes nothing."""
    address = made(client, receiver.url)["links"]["self"]
    assert client.delete(address).status_code == 204
    ended = client.get(address).json()
    assert ended["ended_because"] == "it was deleted"
    assert client.post(f"{address}/test").status_code == 404
    assert client.post(f"{address}/rotate").status_code == 404
    assert client.delete(address).status_code == 204
    assert client.get(address).json() == ended


def test_faults_of_a_request_point_to_their_place(client: Client) -> None:
    """An address that cannot be, an event that there is not, a field that nobody reads."""
    for body, pointer in (
        ({"url": "ftp://receiver.example/"}, "/url"),
        ({"url": "https://receiver.example/", "events": ["job.lost"]}, "/events/0"),
        ({"url": "https://receiver.example/", "secret": "mine"}, "/secret"),
    ):
        answer = client.post("/v1/webhooks", json=body)
        assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, pointer)


def test_private_addresses_are_refused_when_a_webhook_is_made(office: Any, receiver: Any) -> None:
    """Unless the settings allow them, as they do in the other tests here."""
    client = Client(application(office, webhooks_to_private=False))
    assert client.post("/v1/webhooks", json={"url": receiver.url}).status_code == 422


def test_webhooks_need_a_key(office: Any) -> None:
    """Where the service asks for keys."""
    client = Client(application(office, keys=True))
    assert client.get("/v1/webhooks").status_code == 401
