"""Run the service: open the store, listen, work on the jobs."""

from __future__ import annotations

import errno
import gc
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn

from api.http.app import create_app
from api.http.once import forget_old_replies
from api.http.unreadable import ProblemProtocol
from api.jobs.supervisor import Supervisor
from api.keys.key_ring import KeyRing
from api.killed_workers import expect_killed_workers
from api.logs import log_to_stderr
from api.readers.pool import ReaderPool
from api.readers.work import read_nothing
from api.settings import Settings
from api.stop_signals import StopSignals
from api.store.open import ready_store
from api.webhooks.deliver import Courier
from optimiser.one_blas_thread import one_blas_thread_from_now_on

_SHUTDOWN_S = 3
"""So long requests under way have at a stop; then they are cut off."""
_BACKLOG = 512


class AddressError(Exception):
    """The service cannot listen where it was told to."""


def serve(settings: Settings, announce: Callable[[str], None]) -> None:
    """Serve until stopped. `announce` is given the address once requests are taken."""
    log_to_stderr(settings.log_level)
    expect_killed_workers()
    one_blas_thread_from_now_on()
    with (
        StopSignals() as signals,
        ready_store(settings) as store,
        _listening(settings) as listener,
        _readers(settings) as readers,
    ):
        keys = KeyRing(store)
        supervisor = Supervisor(store, settings, chores=(keys.flush, lambda: forget_old_replies(store)))
        courier = Courier(store, settings)
        app = create_app(store, supervisor, readers, keys, settings)
        config = uvicorn.Config(
            app,
            http=ProblemProtocol,
            loop="uvloop",
            log_config=None,
            access_log=False,
            ws="none",
            server_header=False,
            proxy_headers=False,
            timeout_graceful_shutdown=_SHUTDOWN_S,
        )
        server = _Server(config, first=supervisor.stop_soon, last=readers.close)
        signals.then(server.stop)
        readers.start()
        announce(_address(settings, listener))
        courier.start()
        gc.freeze()  # what is loaded now stays: looking through it again and again would hold up requests
        try:
            server.run(sockets=[listener])
        finally:
            courier.stop()
            if supervisor.is_alive:
                supervisor.stop()


class _Server(uvicorn.Server):
    """A stop ends what stands beside the requests too, while they are given their time and after it."""

    def __init__(self, config: uvicorn.Config, *, first: Callable[[], None], last: Callable[[], None]) -> None:
        super().__init__(config)
        self._first, self._last = first, last

    def stop(self) -> None:
        """Begin to. Whoever asks again does not want to wait for requests that take their time."""
        self.should_exit, self.force_exit = True, self.should_exit

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._first()
        await super().shutdown(sockets)
        self._last()  # or requests that wait for what is ended here would keep the program


@contextmanager
def _readers(settings: Settings) -> Iterator[ReaderPool]:
    pool = ReaderPool(
        processes=settings.reader_processes,
        limit_s=settings.reader_limit_s,
        memory_mb=settings.reader_memory_mb,
        log_level=settings.log_level,
        prepare=read_nothing,
    )
    try:
        yield pool
    finally:
        pool.close()


def _listening(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    # Named as TCP, since asyncio sets TCP_NODELAY on such sockets only; without it answers wait 40 ms for an ACK.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((settings.host, settings.port))
        listener.listen(_BACKLOG)
        return listener
    except (OSError, OverflowError) as error:
        listener.close()
        raise AddressError(f"cannot listen on {settings.host} port {settings.port}: {_why(error)}") from error


def _why(error: OSError | OverflowError) -> str:
    """What is in the way, and what to do."""
    said = error.strerror if isinstance(error, OSError) else str(error)
    match getattr(error, "errno", None):
        case errno.EADDRINUSE:
            return "another program listens there; stop it, or choose another port (--port 0 takes a free one)"
        case errno.EACCES:
            return "this user may not; choose a port from 1024 on (--port 8080)"
        case errno.EADDRNOTAVAIL | socket.EAI_NONAME:
            return f"this machine has no such address ({said}); choose another (--host 127.0.0.1)"
        case _:
            return f"{said}; choose another --host or --port"


def _address(settings: Settings, listener: socket.socket) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"http://{host}:{listener.getsockname()[1]}"
