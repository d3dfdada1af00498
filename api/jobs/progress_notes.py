"""Progress of an attempt, written to the store."""

from __future__ import annotations

import time

from api.jobs.attempt import note_progress
from api.store.database import Database

_EVERY_S = 0.5


class ProgressNotes:
    """Each new phase, and within a phase not more often than the interval."""

    def __init__(self, database: Database, token: str) -> None:
        self._database, self._token = database, token
        self._phase, self._next_s = "", 0.0

    def __call__(self, phase: str, fraction: float, best_wet_out_s: float | None) -> None:
        if phase == self._phase and time.monotonic() < self._next_s:
            return
        self._phase, self._next_s = phase, time.monotonic() + _EVERY_S
        note_progress(self._database, self._token, phase=phase, fraction=fraction, best_wet_out_s=best_wet_out_s)
