"""Run the service: hold the data folder, bring the store up to date, listen."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn

from api.http.app import create_app
from api.http.unreadable import ProblemProtocol
from api.jobs.supervisor import Supervisor
from api.killed_workers import expect_killed_workers
from api.logs import log_to_stderr
from api.settings import Settings
from api.store.database import Database
from api.store.folder import held
from api.store.migrate import migrate

_SHUTDOWN_S = 5


class AddressError(Exception):
    """The service cannot listen where it was told to."""


def serve(settings: Settings, announce: Callable[[str], None]) -> None:
    """Serve until stopped. `announce` is given the address once requests are taken."""
    log_to_stderr(settings.log_level)
    expect_killed_workers()
    with held(settings.data), _listening(settings) as listener:
        store = Database(settings.store_url, busy_timeout_s=settings.busy_timeout_s)
        migrate(store)
        app = create_app(store, Supervisor(store, settings), settings)
        config = uvicorn.Config(
            app,
            http=ProblemProtocol,
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            timeout_graceful_shutdown=_SHUTDOWN_S,
        )
        announce(_address(settings, listener))
        uvicorn.Server(config).run(sockets=[listener])
        store.close()


def _listening(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    try:
        return socket.create_server((settings.host, settings.port), family=family, backlog=128)
    except (OSError, OverflowError) as error:
        raise AddressError(f"cannot listen on {settings.host} port {settings.port}: {error}") from error


def _address(settings: Settings, listener: socket.socket) -> str:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"http://{host}:{listener.getsockname()[1]}"
