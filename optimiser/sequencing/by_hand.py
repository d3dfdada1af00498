"""The sequences a lead would write by hand."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.part.part import LineUse, Part
from optimiser.part.sequence import Sequence, Step
from optimiser.sequencing.triggers import clamps_of, open_at_start, open_when_reached, open_when_wet_up_to

ALL_AT_ONCE = "all taps at once"


@dataclass(frozen=True, kw_only=True)
class Named:
    name: str
    sequence: Sequence


def usable_labels(part: Part) -> tuple[str, ...]:
    return tuple(line.label for line in part.feed_lines if line.use is not LineUse.FORBIDDEN)


def line_groups(part: Part) -> dict[str, tuple[str, ...]]:
    """Usable taps by line, in the order of the document."""
    groups: dict[str, tuple[str, ...]] = {}
    for line in part.feed_lines:
        if line.use is not LineUse.FORBIDDEN:
            groups[line.line] = (*groups.get(line.line, ()), line.label)
    return groups


def all_at_once(part: Part) -> Named:
    opens = [open_at_start(label) for label in usable_labels(part)]
    return Named(name=ALL_AT_ONCE, sequence=_with_clamps(part, opens))


def on_reach_from(part: Part, start: tuple[str, ...], name: str, *, share: float = 1.0) -> Named:
    """These taps at the start, every other when resin stands in its line along `share` of it."""
    rest = [label for label in usable_labels(part) if label not in start]
    opens = [open_at_start(label) for label in start]
    opens += [open_when_reached(label, share=share) for label in rest]
    return Named(name=name, sequence=_with_clamps(part, opens))


def bay_by_bay_from(part: Part, start: tuple[str, ...], name: str) -> Named:
    """These taps at the start, every other when nothing dry is left on the side that the resin comes from."""
    rest = [label for label in usable_labels(part) if label not in start]
    opens = [open_at_start(label) for label in start] + [open_when_wet_up_to(label) for label in rest]
    return Named(name=name, sequence=_with_clamps(part, opens))


def one_line_alone(part: Part) -> list[Named]:
    """Each line by itself, all its taps at the start; none where the part has but one."""
    groups = line_groups(part)
    return [
        Named(name=f"{name} alone", sequence=_with_clamps(part, [open_at_start(label) for label in labels]))
        for name, labels in groups.items()
        if len(groups) > 1
    ]


def _with_clamps(part: Part, opens: list[Step]) -> Sequence:
    return Sequence(steps=(*opens, *clamps_of(part)))
