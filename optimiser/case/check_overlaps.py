"""Runs that lie on each other where that cannot be meant. Gaps may lie along lines and vents: edges do."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_runs import Run
from optimiser.case.pointer import pointer
from optimiser.case.run_course import course_of
from optimiser.case.sheet_shape import TOUCH_MM
from optimiser.errors import Fault

_CROSSING_MM = 50.0
"""Runs that cross, even at a small angle, are this long on each other at most."""


def overlap_faults(document: CaseDocument) -> Iterator[Fault]:
    """On a flat sheet, in the plane."""
    yield from _vents_on_lines(document)
    lines = [
        (pointer("feed_lines", i, "sections", j, "run_mm"), one.run_mm)
        for i, line in enumerate(document.feed_lines)
        for j, one in enumerate(line.sections)
    ]
    yield from _on_each_other(lines, "feed line", "lines that lie apart")
    gaps = [(pointer("race_tracks", i, "run_mm"), track.run_mm) for i, track in enumerate(document.race_tracks)]
    yield from _on_each_other(gaps, "gap", "each gap once, as wide as it is")
    for i, track in enumerate(document.race_tracks):
        run = course_of(track.run_mm)
        twice_mm = run.length - shapely.union_all([run]).length
        if twice_mm > TOUCH_MM:
            yield Fault(
                path=pointer("race_tracks", i, "run_mm"),
                found=f"a run that goes back over {twice_mm:.0f} mm of itself",
                expected="each place of the gap once",
            )


def _on_each_other(named: list[tuple[str, Run]], noun: str, expected: str) -> Iterator[Fault]:
    """Each that lies along an earlier one."""
    runs = [course_of(run) for _, run in named]
    tree = shapely.STRtree(runs)
    for k, run in enumerate(runs):
        beside = run.buffer(TOUCH_MM)
        near = tree.query(beside, predicate="intersects")
        earlier = [int(one) for one in near[near < k]]
        most, shared_mm = _longest_on([runs[one] for one in earlier], beside)
        if shared_mm > _CROSSING_MM:
            found = f"a {noun} that lies on that of {named[earlier[most]][0]} for {shared_mm:.0f} mm"
            yield Fault(path=named[k][0], found=found, expected=expected)


def _vents_on_lines(document: CaseDocument) -> Iterator[Fault]:
    lines = [(line.label_of(one), one.run_mm) for line in document.feed_lines for one in line.sections]
    labels, runs = [label for label, _ in lines], [course_of(run) for _, run in lines]
    for i, vent in enumerate(document.vents):
        if vent.on_line is not None or len(vent.run_mm) < 2:
            continue
        most, shared_mm = _longest_on(runs, course_of(vent.run_mm).buffer(TOUCH_MM))
        if shared_mm > _CROSSING_MM:
            yield Fault(
                path=pointer("vents", i, "run_mm"),
                found=f"a vent that lies on feed line {labels[most]} for {shared_mm:.0f} mm",
                expected="a vent beside the lines: on one it draws the resin straight out",
                remedy="on_line, for a vent that draws through the line until resin reaches it",
            )


def _longest_on(runs: list[shapely.Geometry], beside: shapely.Geometry) -> tuple[int, float]:
    """Which of the runs has most of its length there, and how much; of none, nothing."""
    shared_mm = shapely.length(shapely.intersection(runs, beside))
    return (int(shared_mm.argmax()), float(shared_mm.max())) if len(shared_mm) else (0, 0.0)
