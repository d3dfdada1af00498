"""A connection to a dask cluster: quiet, and with our own errors.

The library is imported where it is used: it takes half a second, and without a cluster nobody needs it.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from api.engine.engine_error import EngineUnreachableError, WorkerKilledError

if TYPE_CHECKING:
    from distributed import Client

_ANSWERS_WITHIN_S = 5.0
_WORKER_WITHIN_S = 30.0


def connect(address: str, *, worker_within_s: float = _WORKER_WITHIN_S) -> Client:
    """A client of the scheduler at `address`, once a worker is there. TLS is set as dask's own settings say.

    Raises EngineUnreachableError if nothing there answers as a scheduler, or if no worker comes.
    """
    _import_quietly()
    from distributed import Client

    try:
        asyncio.run(_ask_who_is_there(address))  # a Client that fails to start leaves a thread behind
        client = Client(address, timeout=_ANSWERS_WITHIN_S, set_as_default=False)
    except Exception as error:
        reason = str(error) or f"nothing heard within {_ANSWERS_WITHIN_S:g} s"
        raise EngineUnreachableError(f"no dask scheduler answers at {address}: {reason}") from error
    try:
        client.wait_for_workers(1, timeout=worker_within_s)
    except Exception as error:
        disconnect(client)
        raise EngineUnreachableError(f"the scheduler at {address} has no worker") from error
    return client


def disconnect(client: Client) -> None:
    """Also from a scheduler that is no longer there. What this client asked for and is not done is dropped."""
    with suppress(OSError, TimeoutError):
        client.close()


def threads_of(client: Client) -> int:
    """Of all workers that are there now; they come and go."""
    from distributed.comm.core import CommClosedError

    try:
        return int(sum(client.nthreads().values()))
    except (OSError, AttributeError) as error:  # the latter from a client that has given up
        raise CommClosedError("no answer") from error


@contextmanager
def engine_errors(address: str) -> Iterator[None]:
    """Errors of the engine inside come out as ours, all others as they are."""
    from distributed.client import ClosedClientError
    from distributed.comm.core import CommClosedError
    from distributed.scheduler import KilledWorker, NoValidWorkerError, NoWorkerError

    try:
        yield
    except KilledWorker as error:
        raise WorkerKilledError(f"each worker of the engine that did this ended over it: {error}") from error
    except (NoValidWorkerError, NoWorkerError) as error:
        raise EngineUnreachableError(f"the scheduler at {address} has no worker any more") from error
    except (CancelledError, ClosedClientError, CommClosedError) as error:
        raise EngineUnreachableError(f"the connection to the scheduler at {address} was lost") from error


async def _ask_who_is_there(address: str) -> None:
    from distributed import rpc
    from distributed.security import Security

    arguments = Security().get_connection_args("client")
    async with rpc(address, timeout=_ANSWERS_WITHIN_S, connection_args=arguments) as there:
        found = (await asyncio.wait_for(there.identity(), _ANSWERS_WITHIN_S))["type"]
    if found != "Scheduler":
        raise ValueError(f"what answers is a {found.lower()}")


def _import_quietly() -> None:
    """The library would put a handler of its own on stderr; what matters to us comes as an exception."""
    import dask

    silent = {"level": logging.CRITICAL}
    loggers = {"version": 1, "incremental": True, "loggers": {"distributed": silent, "tornado": silent}}
    with dask.config.set({"logging": loggers}):
        import distributed  # noqa: F401
