"""Does the engine answer that carries the network runs?"""

from __future__ import annotations

import asyncio
import logging
import socket
from urllib.parse import urlsplit

from api.doctor.finding import Finding, ok, trouble, warning

_WHAT = "engine"
_LONGEST_WAIT_S = 5.0


def engine(address: str | None) -> Finding:
    """A connection, then the handshake of a client, each with an end to its wait."""
    if address is None:
        return ok(_WHAT, "none set: processes of this machine carry the network runs")
    try:
        parts = urlsplit(address)
        host, port = parts.hostname, parts.port
    except ValueError:
        host = port = None
    if host is None or port is None:
        return trouble(_WHAT, "TAPCALL_ENGINE is no address", "write it like tcp://host:8786")
    said = f"{host} port {port}"
    remedy = "start the scheduler, open the way to it, or take TAPCALL_ENGINE out: then this machine works alone"
    try:
        with socket.create_connection((host, port), timeout=_LONGEST_WAIT_S):
            pass
    except OSError as error:
        return trouble(_WHAT, f"{said} does not answer: {error.strerror or error}", remedy)
    try:
        workers, apart = asyncio.run(_greet(address))
    except ImportError as error:
        return trouble(_WHAT, f"{error.name} is not installed here", "install what requirements.lock names")
    except Exception as error:  # a client may meet anything at an address that is not a scheduler
        return trouble(_WHAT, f"{said} takes connections and is no scheduler of dask: {type(error).__name__}", remedy)
    if not workers:
        return warning(_WHAT, f"the scheduler on {said} has no workers: runs wait", "start workers: dask worker")
    if apart:
        return warning(
            _WHAT,
            f"workers: {workers}; not all have the versions here of {', '.join(apart)}",
            "install the same lock everywhere",
        )
    return ok(_WHAT, f"workers: {workers}, behind {said}, of the same versions as here")


async def _greet(address: str) -> tuple[int, list[str]]:
    """Number of workers, and the packages of which not all have the version that is here.

    Asks what a client of dask asks at its start. The client itself waits without end for a listener that is mute.
    """
    from distributed.core import rpc
    from distributed.security import Security
    from distributed.versions import get_versions

    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # it would tell of each try
    arguments = Security().get_connection_args("client")
    async with asyncio.timeout(_LONGEST_WAIT_S):
        async with rpc(address, timeout=_LONGEST_WAIT_S, connection_args=arguments) as scheduler:
            of_scheduler = await scheduler.versions()
            of_workers = await scheduler.broadcast(msg={"op": "versions"}, on_error="ignore")
    here = get_versions()["packages"]
    apart = {
        name
        for there in (of_scheduler, *of_workers.values())
        for name, version in there["packages"].items()
        if version is not None and here.get(name) != version
    }
    return len(of_workers), sorted(apart)
