"""What one process may use of the machine."""

from __future__ import annotations

import os
import resource

_STEPS_BACK = 10
"""Of the 20 between an ordinary process and the last: it then gets a tenth of what the ordinary one gets."""


def limit_memory(most_mb: int) -> None:
    """Beyond this an allocation raises MemoryError, here and in each process started from here.

    To be called before numpy is loaded, unless that was told of one thread: its algebra reserves address space for each
    that it may start, and on a machine of many cores that alone would go beyond the limit.
    """
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ[f"{library}_NUM_THREADS"] = "1"
    most_bytes = most_mb * 1_000_000
    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


def give_way() -> None:
    """Whoever asks the service is answered before planning goes on, here and in each process started from here."""
    os.nice(_STEPS_BACK)
