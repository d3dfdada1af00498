"""A line in two, each half behind a tap and fed in its middle: for a line that starves its far end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely
from shapely.ops import substring

from optimiser.case.layout_document import FeedLineDocument, SectionDocument
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.network.line_layout import line_layouts

_STARVED = 0.97
"""Pressure at the far end over that at the inlet: with more, halves feed no better. Common practice, no source."""
_INLET_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_SHORTEST_MM = 400.0
_HALVES = ("A", "B")


def starved_line_split(failing: Failing) -> Iterator[Proposal]:
    """The tap whose far end gets the least share of the pressure, where resin is late."""
    if not failing.late:
        return
    layouts = [one for one in line_layouts(failing.result.scenes.full, failing.shot.part) if one.far_end_share < 1]
    taps = {
        line.label_of(section): (i, j)
        for i, line in enumerate(failing.document.feed_lines)
        if line.use != "forbidden"
        for j, section in enumerate(line.sections)
    }
    for layout in sorted(layouts, key=lambda one: (one.far_end_share, one.label)):
        if layout.far_end_share > _STARVED:
            return
        if layout.label in taps:
            i, j = taps[layout.label]
            yield from _split(failing, i, j, layout.far_end_share)
            return


def _split(failing: Failing, i: int, j: int, share: float) -> Iterator[Proposal]:
    line = failing.document.feed_lines[i]
    section = line.sections[j]
    run = shapely.LineString(section.run_mm)
    if run.has_z or run.length < _SHORTEST_MM:
        return
    halves = [_half(section, run, k, _free_section(line, section, half)) for k, half in enumerate(_HALVES)]
    label = line.label_of(section)
    labels = [f"{line.name}-{half['name']}" for half in halves]
    sections = [one.model_dump(mode="json") for one in line.sections]
    yield Proposal(
        effort=Effort.SPLIT,
        change=f"line {label} split midway into {labels[0]} and {labels[1]}, each with a tap and fed in its middle "
        f"(its far end gets about {share:.0%} of the pressure)",
        edits=(
            Edit(keys=("feed_lines", i, "sections"), value=[*sections[:j], *halves, *sections[j + 1 :]]),
            *_rules(failing, label, labels),
        ),
    )


def _half(section: SectionDocument, run: shapely.LineString, k: int, name: str) -> dict[str, Any]:
    """The hose is longer by the way along the line from the old inlet to the new one."""
    inlet = section.inlet
    old = _INLET_SHARE[inlet] if isinstance(inlet, str) else inlet / 100
    piece = substring(run, k / 2, (k + 1) / 2, normalized=True)
    further_mm = abs((2 * k + 1) / 4 - old) * run.length
    return {
        **section.model_dump(mode="json"),
        "name": name,
        "run_mm": [[round(x, 1), round(y, 1)] for x, y in piece.coords],
        "hose_length_mm": round(section.hose_length_mm + further_mm),
        "inlet": "middle",
    }


def _free_section(line: FeedLineDocument, section: SectionDocument, half: str) -> str:
    taken = {one.name for one in line.sections}
    name = f"{section.name or ''}{half}"
    return name if name not in taken else f"{name}2"


def _rules(failing: Failing, label: str, labels: list[str]) -> Iterator[Edit]:
    """Rules name both halves where they named the tap; a sequence of the user's own that names it is left out."""
    rules = failing.document.rules
    for field, asked in (("start", rules.start), ("order", rules.order)):
        if label in asked:
            new = [name for one in asked for name in (labels if one == label else [one])]
            yield Edit(keys=("rules", field), value=new)
    own = rules.own_sequence
    if own is not None and f'"{label}"' in own.model_dump_json():
        yield Edit(keys=("rules", "own_sequence"), value=None)
