"""The figures by their headings. Each is taken by itself."""

from __future__ import annotations

from collections.abc import Callable

from benchmarks.service.list_pages import claims, list_pages
from benchmarks.service.place import Place
from benchmarks.service.revalidations import looked_up, played_again
from benchmarks.service.running_service import running_service
from benchmarks.service.starts import starts
from benchmarks.service.status_reads import idle_reads, reads_while_planning
from benchmarks.service.steady import steady_reads, steady_sheets
from benchmarks.service.submissions import submissions

_READS_PER_S, _READS_PER_S_WHILE_PLANNING, _SUBMISSIONS_PER_S = 2_000, 300, 200


def _starts(place: Place) -> str:
    return starts(place.full_store(), times=place.numbers.starts)


def _idle_reads(place: Place) -> str:
    with running_service(place.full_store(), job_processes=0) as service:
        return idle_reads(service, place.sizes, number=place.numbers.reads, per_s=_READS_PER_S)


def _reads_while_planning(place: Place) -> str:
    return reads_while_planning(
        place.empty("planning"), number=place.numbers.reads_while_planning, per_s=_READS_PER_S_WHILE_PLANNING
    )


def _submissions(place: Place) -> str:
    with running_service(place.empty("submissions"), job_processes=0) as service:
        return submissions(service, number=place.numbers.submissions, per_s=_SUBMISSIONS_PER_S)


def _list_pages(place: Place) -> str:
    data = place.full_store()
    with running_service(data, job_processes=0) as service:
        pages = list_pages(service, place.sizes)
    return f"{pages}\n\n{claims(data)}"


def _looked_up(place: Place) -> str:
    return looked_up(place.empty("looked up"), number=place.numbers.looked_up)


def _played(place: Place) -> str:
    return played_again(place.empty("played"), number=place.numbers.played)


def _steady_reads(place: Place) -> str:
    with running_service(place.full_store(), job_processes=0) as service:
        return steady_reads(service, place.sizes, number=place.numbers.steady_reads)


def _steady_sheets(place: Place) -> str:
    return steady_sheets(place.empty("sheets"), number=place.numbers.steady_sheets)


FIGURES: dict[str, Callable[[Place], str]] = {
    "Start, with the full store": _starts,
    f"Status reads: {_READS_PER_S} a second": _idle_reads,
    f"Status reads while both cores plan: {_READS_PER_S_WHILE_PLANNING} a second": _reads_while_planning,
    f"Durable submissions of layouts: {_SUBMISSIONS_PER_S} a second": _submissions,
    "Pages of lists and the claim of a job, with the full store": _list_pages,
    "Stored sequences judged again by look-up": _looked_up,
    "Stored sequences judged again on the network": _played,
    "Memory and open files over status reads": _steady_reads,
    "Memory and open files over drawn run sheets": _steady_sheets,
}
