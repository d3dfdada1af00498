"""A supervisor in this process, whose attempts are run by something else than the real thing."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from unittest.mock import patch

from api.jobs.supervisor import Supervisor
from api.settings import Settings
from api.store.database import Database


@contextmanager
def supervised(database: Database, settings: Settings, attempt: Callable[..., None]) -> Iterator[Supervisor]:
    supervisor, log = Supervisor(database, settings), logging.getLogger("api.jobs.supervisor")
    before = log.level
    log.setLevel(logging.CRITICAL)  # it tells of each attempt that is lost
    with patch("api.jobs.attempt_processes.run_attempt", attempt):
        supervisor.start()
        try:
            yield supervisor
        finally:
            supervisor.stop()
            log.setLevel(before)
