"""Work that harms its process is stopped by limits, set aside with a reason, and holds up nobody."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from benchmarks.durability import poison_items, poison_jobs
from benchmarks.durability.cancelled_jobs import cancel_jobs
from benchmarks.durability.finding import Finding
from benchmarks.durability.place import Place

Bears = Callable[..., Finding]


def one_poisoned_job(place: Place, times: int, lots: Random) -> Finding:
    return poison_jobs.poison_with(("fill memory",), place, times, lots)


def one_poisoned_item(place: Place, times: int, lots: Random) -> Finding:
    return poison_items.poison_with(["crash"] * times, place, lots)


def test_a_job_that_ends_its_process_has_failed_after_three_tries(embedded_place: Place, bears: Bears) -> None:
    """Memory without end; the sound job beside it is done."""
    bears(one_poisoned_job, embedded_place, 1)


def test_an_item_that_ends_its_process_is_set_aside(embedded_place: Place, bears: Bears) -> None:
    """All others of the run are decided."""
    bears(one_poisoned_item, embedded_place, 1)


def test_a_cancelled_job_loses_its_process_and_has_no_result(embedded_place: Place, bears: Bears) -> None:
    """One that never ends by itself, and one that is about to."""
    bears(cancel_jobs, embedded_place, 2)
