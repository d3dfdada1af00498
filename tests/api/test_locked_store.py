"""A store that another process keeps: who writes is told so soon, and who reads does not notice."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

import httpx

from api.http.app import create_app
from api.jobs.supervisor import Supervisor
from api.keys.key_ring import KeyRing
from api.readers.pool import ReaderPool
from api.settings import Settings
from api.store.database import Database

BUSY_TIMEOUT_S = 0.4
WRITERS = 100
"""More than there are threads."""
SOON_S = 5.0
"""One after another they would wait for 40 s, and in all threads at once for as long as the store is kept."""


def test_a_locked_store_answers_503_soon_and_readers_go_on(
    sqlite_url: str, open_store: Callable[..., Database]
) -> None:
    """A hundred writers at once, with Retry-After; a reader among them is answered first."""
    store, other = open_store(sqlite_url, busy_timeout_s=BUSY_TIMEOUT_S), open_store(sqlite_url)
    settings = Settings(keys=False)
    readers = ReaderPool(processes=1, limit_s=20.0, memory_mb=2000)
    app = create_app(store, Supervisor(store, settings), readers, KeyRing(store), settings)

    async def asked() -> tuple[httpx.Response, int, list[httpx.Response]]:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://localhost") as client:
            address = f"/v1/jobs/job_{0:032}/cancel"
            writing = [asyncio.create_task(client.post(address)) for _ in range(WRITERS)]
            await asyncio.sleep(BUSY_TIMEOUT_S / 2)
            read = await client.get("/v1/layouts")
            still_writing = sum(not each.done() for each in writing)
            return read, still_writing, await asyncio.gather(*writing)

    with other.write():
        began_s = time.monotonic()
        read, still_writing, refused = asyncio.run(asked())
        took_s = time.monotonic() - began_s
    assert read.status_code == 200
    assert still_writing > 0
    assert {answer.status_code for answer in refused} == {503}
    assert all(int(answer.headers["retry-after"]) > 0 for answer in refused)
    assert all("nothing of this request was kept" in answer.json()["detail"] for answer in refused)
    assert took_s < SOON_S
