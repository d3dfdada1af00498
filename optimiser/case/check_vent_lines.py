"""Vents that draw through a feed line: which line, and that the hose joins it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import shapely

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault
from optimiser.part.part import LineUse

_NEAR_MM = 50.0
"""As seen from above; so far a hose may be drawn from the middle of the line that it joins."""


def vent_line_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    runs = {
        line.label_of(section): section.run_mm for line in document.feed_lines for section in line.sections
    }
    taken: set[str] = set()
    for place, vent in enumerate(document.vents):
        if vent.on_line is None:
            continue
        path = pointer("vents", place, "on_line")
        if vent.on_line not in lines:
            yield unknown_name(path, vent.on_line, lines, noun="feed line")
            continue
        if vent.on_line in taken:
            found = f"a second vent on {say_found(vent.on_line)}"
            yield Fault(path=path, found=found, expected="at most one vent on each line")
        taken.add(vent.on_line)
        if vent.may_stay_clamped is not None:
            path = pointer("vents", place, "may_stay_clamped")
            yield Fault(path=path, found=say_found(vent.may_stay_clamped), expected="left out for a vent on a line")
        if len(vent.run_mm) > 1 or not _joins(vent.run_mm[0], runs[vent.on_line]):
            yield Fault(
                path=pointer("vents", place, "run_mm"),
                found=f"{len(vent.run_mm)} points" if len(vent.run_mm) > 1 else "a point off that line",
                expected=f"one point within {_NEAR_MM:.0f} mm of line {vent.on_line}, where the hose joins it",
            )


def _joins(point_mm: tuple[float, ...], run_mm: tuple[tuple[float, ...], ...]) -> bool:
    run = shapely.LineString([corner[:2] for corner in run_mm])
    return bool(run.distance(shapely.Point(point_mm[:2])) <= _NEAR_MM)
