"""Is the port free, or who answers there?"""

from __future__ import annotations

import socket

import httpx

from api.doctor.finding import Finding, ok, trouble, warning
from api.settings import Settings
from optimiser import __version__

_LONGEST_WAIT_S = 3.0
_ANY = {"0.0.0.0": "127.0.0.1", "": "127.0.0.1", "::": "::1"}


def port(settings: Settings) -> Finding:
    """Asks whoever listens there; where nobody does, takes the port for an instant without listening."""
    what = f"port {settings.port}"
    if settings.port == 0:
        return ok("port", "0: any that is free")
    asked = _ANY.get(settings.host, settings.host)
    try:
        with socket.create_connection((asked, settings.port), timeout=_LONGEST_WAIT_S):
            pass
    except (OSError, OverflowError):
        return _can_be_taken(what, settings)
    return _who_answers(what, asked, settings)


def _can_be_taken(what: str, settings: Settings) -> Finding:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    try:
        with socket.socket(family) as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            tried.bind((settings.host, settings.port))
    except OSError as error:
        return trouble(
            what, f"cannot be taken on {settings.host}: {error.strerror}", "set TAPCALL_PORT or TAPCALL_HOST to another"
        )
    return ok(what, f"free on {settings.host}: no service runs there")


def _who_answers(what: str, host: str, settings: Settings) -> Finding:
    address = f"http://{f'[{host}]' if ':' in host else host}:{settings.port}"
    other = trouble(what, "taken by something that is not tapcall", "stop that, or set TAPCALL_PORT to another")
    try:
        with httpx.Client(base_url=address, timeout=_LONGEST_WAIT_S, trust_env=False) as client:
            said = client.get("/livez").json()
            version = str(said["software_version"])
            ready = client.get("/readyz").is_success
    except (httpx.HTTPError, ValueError, KeyError, TypeError):
        return other
    if not ready:
        return trouble(
            what, f"tapcall {version} answers, and is not ready", "see what /readyz says, and the log of the service"
        )
    if version != __version__:
        return warning(what, f"tapcall {version} answers; this one is {__version__}", "restart the service")
    return ok(what, f"tapcall {version} answers, and is ready")
