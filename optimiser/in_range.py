"""Whether what a law is asked lies where it holds."""

from __future__ import annotations

from optimiser.errors import OutOfRangeError


def check_positive(**values: float) -> None:
    """OutOfRangeError for the first that is not above 0, by its name."""
    for name, value in values.items():
        if not value > 0:
            raise OutOfRangeError(f"{name} must be above 0, found {value}")


def check_fibre_fraction(fraction: float) -> None:
    """OutOfRangeError unless it is above 0 and at most 1."""
    if not 0 < fraction <= 1:
        raise OutOfRangeError(f"a fibre fraction must lie above 0 and at most at 1, found {fraction}")
