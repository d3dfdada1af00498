"""Ten thousand malformed requests: `python -m benchmarks.malformed [NUMBER]`.

Prints counts by status, the longest answer, and the memory of the server and its readers; ends with 1 where any answer
is one that nobody should get. `python -m benchmarks.malformed NUMBER NUMBER` sends those from the one to the other.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from benchmarks.malformed.barrage import Outcome, barrage
from benchmarks.malformed.memory import resident_mb
from benchmarks.page import table
from benchmarks.service.running_service import running_service

_NUMBER = 10_000
_WARM = 500
"""So many before the memory is looked at for the first time: by then all is loaded that will be."""
_LONGEST_S = 5.0
_LONGEST_PRINTED = 50


def main() -> int:
    """The code that the program ends with."""
    first, last = _asked(sys.argv[1:])
    with tempfile.TemporaryDirectory() as folder, running_service(Path(folder) / "data", job_processes=0) as service:
        barrage(service.port, service.key, range(-_WARM, 0), longest_s=_LONGEST_S)
        before = resident_mb(service.process_id)
        outcome = barrage(service.port, service.key, range(first, last), longest_s=_LONGEST_S)
        after = resident_mb(service.process_id)
    print(_page(outcome, before, after))
    return 1 if outcome.complaints or outcome.visitors else 0


def _asked(words: list[str]) -> tuple[int, int]:
    numbers = [int(word) for word in words]
    return (numbers[0], numbers[1]) if len(numbers) == 2 else (0, numbers[0] if numbers else _NUMBER)


def _page(outcome: Outcome, before: dict[str, float], after: dict[str, float]) -> str:
    statuses = sorted({status for _, status in outcome.by_status})
    kinds = sorted({what for what, _ in outcome.by_status})
    rows = [(kind, *(outcome.by_status[kind, status] or "" for status in statuses)) for kind in kinds]
    memory = [(name, f"{before[name]:.0f}", f"{after[name]:.0f}") for name in before]
    bad = [f"- {number}: {said}" for number, said in sorted(outcome.complaints.items())[:_LONGEST_PRINTED]]
    return "\n\n".join(
        (
            f"{sum(outcome.by_status.values())} requests, {os.cpu_count()} cores",
            table(("sent", *map(str, statuses)), rows),
            f"Longest answer: {outcome.longest_s:.2f} s, number {outcome.longest}.",
            table(("resident, MB", f"after {_WARM}", "after all"), memory),
            f"Connections to where nobody should come: {outcome.visitors}.",
            f"Complaints: {len(outcome.complaints)}.",
            "\n".join(bad),
        )
    )


if __name__ == "__main__":
    sys.exit(main())
