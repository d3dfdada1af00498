"""Amounts and spans of time as a person reads them."""

from __future__ import annotations

from datetime import timedelta


def size(number_of_bytes: float) -> str:
    """Decimal units, as disks are sold and settings are named: 1 MB is a million bytes."""
    for unit, factor in (("TB", 1e12), ("GB", 1e9), ("MB", 1e6), ("kB", 1e3)):
        if number_of_bytes >= factor:
            return f"{number_of_bytes / factor:.3g} {unit}"
    return f"{number_of_bytes:.0f} bytes"


def span(time: timedelta) -> str:
    """In the largest unit of which there are two."""
    seconds = time.total_seconds()
    for unit, factor in (("days", 86_400), ("h", 3_600), ("min", 60)):
        if seconds >= 2 * factor:
            return f"{seconds / factor:.0f} {unit}"
    return f"{seconds:.0f} s"
