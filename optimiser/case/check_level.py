"""Whether gel times are known at a level of initiator."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimiser.case.resin_document import GelTimePointDocument
from optimiser.errors import Fault


def level_faults(points: Sequence[GelTimePointDocument], level_percent: float, path: str) -> Iterator[Fault]:
    """One under `path` where the level lies beyond those that gel times are measured at."""
    measured = [point.initiator_percent for point in points]
    if not min(measured) <= level_percent <= max(measured):
        yield Fault(
            path=path,
            found=f"{level_percent:g} %",
            expected=f"a level the gel times are measured at, {min(measured):g} to {max(measured):g} %",
            remedy="add gel times measured at this level",
        )
