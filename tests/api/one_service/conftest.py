"""One service for all tests that do not harm it. It ends with the last of them: at rest it costs what it polls."""

from __future__ import annotations

import signal
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="session")
def service(
    service_in: Callable[[Path], Any],
    tmp_path_factory: pytest.TempPathFactory,
    until_left: Callable[[str], ExitStack],
) -> Any:
    """Running until the last of these tests."""
    running = service_in(tmp_path_factory.mktemp("service"))
    until_left("one_service").callback(running.end, signal.SIGTERM)
    return running


@pytest.fixture(scope="session")
def tiny_job(service: Any, tiny_source: bytes) -> dict[str, Any]:
    """The tiny case, planned."""
    return dict(service.finished(service.submit(tiny_source)["id"]))
