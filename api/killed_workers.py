"""Processes ended on purpose leave semaphores; Python's tracker removes them, and need not say so."""

from __future__ import annotations

import os


def expect_killed_workers() -> None:
    """No warning, from here and from processes started here, where a kill left something to remove."""
    os.environ.setdefault("PYTHONWARNINGS", "ignore:resource_tracker:UserWarning")
