"""The service in a forked process, as `tapcall serve` runs it but without readers of its own: up in a moment."""

from __future__ import annotations

import logging
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, ParamSpec, TypeVar

import api.serve
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


def serve_here(settings: Settings, told: Connection) -> None:
    """Serve until killed; the address is sent once requests are taken."""
    setattr(api.serve, "ReaderPool", ReadersHere)  # noqa: B010  mypy would not have a class assigned to
    api.serve.serve(settings, announce=lambda address: _tell(told, address))


def _tell(told: Connection, address: str) -> None:
    logging.disable()
    told.send(address)
