"""A clock of the wall that can be turned while processes run: what they read is the time plus what a file says.

The file is what libfaketime reads too (FAKETIME_TIMESTAMP_FILE), so that commands can be given the same clock.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from unittest.mock import patch

LIBRARY = Path("/usr/lib/x86_64-linux-gnu/faketime/libfaketimeMT.so.1")
"""Of the Debian package libfaketime."""
HOUR_S, DAY_S = 3600, 86_400


def turn(clock: Path, ahead_s: int) -> None:
    """From now on the clock is so far ahead of the true time; less than nothing: behind."""
    part = clock.with_suffix(".part")
    part.write_text(f"{ahead_s:+d}")
    part.replace(clock)


@contextmanager
def turned(clock: Path) -> Iterator[None]:
    """The store of this process goes by the clock, and so do its leases; the monotonic clock is as it was."""

    class Turned(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
            return datetime.now(tz) + timedelta(seconds=int(clock.read_text()))

    with patch("api.store.instants.datetime", Turned):
        yield


def faked(clock: Path) -> dict[str, str]:
    """Environment for a command that is to go by the clock; libfaketime must be there."""
    return {
        "LD_PRELOAD": os.pathsep.join(filter(None, [str(LIBRARY), os.environ.get("LD_PRELOAD")])),
        "FAKETIME_TIMESTAMP_FILE": str(clock),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    }
