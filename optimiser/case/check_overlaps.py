"""Runs that lie on each other where that cannot be meant. Gaps may lie along lines and vents: edges do."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.sheet_shape import TOUCH_MM
from optimiser.errors import Fault

_CROSSING_MM = 50.0
"""Runs that cross, even at a small angle, are this long on each other at most."""


def overlap_faults(document: CaseDocument) -> Iterator[Fault]:
    """On a flat sheet, in the plane."""
    yield from _vents_on_lines(document)
    for i, track in enumerate(document.race_tracks):
        run = _line(track.run_mm)
        twice_mm = run.length - shapely.union_all([run]).length
        if twice_mm > TOUCH_MM:
            yield Fault(
                path=pointer("race_tracks", i, "run_mm"),
                found=f"a run that goes back over {twice_mm:.0f} mm of itself",
                expected="each place of the gap once",
            )


def _vents_on_lines(document: CaseDocument) -> Iterator[Fault]:
    lines = [(line.label_of(one), one.run_mm) for line in document.feed_lines for one in line.sections]
    labels, runs = [label for label, _ in lines], [_line(run) for _, run in lines]
    for i, vent in enumerate(document.vents):
        if vent.on_line is not None or len(vent.run_mm) < 2:
            continue
        shared_mm = shapely.length(shapely.intersection(runs, _line(vent.run_mm).buffer(TOUCH_MM)))
        most = int(shared_mm.argmax())
        if shared_mm[most] > _CROSSING_MM:
            yield Fault(
                path=pointer("vents", i, "run_mm"),
                found=f"a vent that lies on feed line {labels[most]} for {shared_mm[most]:.0f} mm",
                expected="a vent beside the lines: on one it draws the resin straight out",
                remedy="on_line, for a vent that draws through the line until resin reaches it",
            )


def _line(run_mm: tuple[tuple[float, ...], ...]) -> shapely.LineString:
    return shapely.LineString([point[:2] for point in run_mm])
