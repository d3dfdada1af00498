"""The service in a forked process, as `tapcall serve` runs it but without readers of its own: up in a moment."""

from __future__ import annotations

import logging
import os
import signal
from collections.abc import Callable
from functools import partial
from multiprocessing.connection import Connection
from typing import Any, ParamSpec, TypeVar

from fastapi import FastAPI
from starlette.types import ASGIApp, Message, Receive, Scope, Send

import api.serve
from api.http.app import create_app
from api.settings import Settings

P = ParamSpec("P")
T = TypeVar("T")


class ReadersHere:
    """Takes the place of the pool of processes."""

    def __init__(self, *, prepare: Callable[[], None], **_: Any) -> None:
        self.start = prepare

    def run(self, work: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        return work(*arguments, **named)

    run_kept = run

    def close(self) -> None:
        pass


class DiesAtAReply:
    """kill -9 of its own process when so many fresh answers of 202 are about to be told: what the last of them says is
    committed, and nobody hears of it."""

    def __init__(self, app: ASGIApp, *, at: int) -> None:
        self._app, self._left = app, at

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def tell(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] == 202:
                self._left -= b"idempotent-replayed" not in dict(message["headers"])
                if self._left <= 0:
                    os.kill(os.getpid(), signal.SIGKILL)
            await send(message)

        await self._app(scope, receive, tell)


def serve_here(settings: Settings, told: Connection, dies_at: int | None = None) -> None:
    """Serve until killed; the address is sent once requests are taken. dies_at: as DiesAtAReply has it."""
    setattr(api.serve, "ReaderPool", ReadersHere)  # noqa: B010  mypy would not have a class assigned to
    if dies_at is not None:
        setattr(api.serve, "create_app", partial(_mortal_app, dies_at))  # noqa: B010  nor a function
    api.serve.serve(settings, announce=lambda address: _tell(told, address))


def _mortal_app(dies_at: int, *parts: Any) -> FastAPI:
    app = create_app(*parts)
    app.add_middleware(DiesAtAReply, at=dies_at)
    return app


def _tell(told: Connection, address: str) -> None:
    logging.disable()
    told.send(address)
