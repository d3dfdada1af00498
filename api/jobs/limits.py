"""What one process may use of the machine."""

from __future__ import annotations

import os
import resource
from pathlib import Path

_STEPS_BACK = 10
"""Of the 20 between an ordinary process and the last: it then gets a tenth of what the ordinary one gets."""


_LEAST_LEFT_BYTES = 100_000_000
"""With less the store cannot be opened, which looks as if it were away."""


def limit_memory(most_mb: int) -> None:
    """Beyond this an allocation raises MemoryError, here and in each process started from here.

    Raises MemoryError, and limits nothing, where hardly any of it would be left (proc(5), statm).

    To be called before numpy is loaded, unless that was told of one thread: its algebra reserves address space for each
    that it may start, and on a machine of many cores that alone would go beyond the limit.
    """
    most_bytes = most_mb * 1_000_000
    if _held_bytes() + _LEAST_LEFT_BYTES > most_bytes:
        raise MemoryError(f"what was imported takes most of {most_mb} MB")
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ[f"{library}_NUM_THREADS"] = "1"
    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


def _held_bytes() -> int:
    """Address space of this process; 0 elsewhere than on Linux."""
    try:
        return int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    except FileNotFoundError:
        return 0


def give_way() -> None:
    """Whoever asks the service is answered before planning goes on, here and in each process started from here."""
    os.nice(_STEPS_BACK)
