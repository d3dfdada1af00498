"""The clock of the wall may jump, and jobs go on."""

from __future__ import annotations

from collections.abc import Callable

from benchmarks.durability.clock_jumps import jump_with_holders
from benchmarks.durability.finding import Finding
from benchmarks.durability.place import Place


def test_jumps_of_an_hour_or_a_day_lose_no_job_and_strand_none(place: Place, bears: Callable[..., Finding]) -> None:
    """Either way, with a kill before each: the lease that it leaves is of another time, and runs out all the same."""
    bears(jump_with_holders, place, 6)
