"""Values taken for physical fields that a document leaves out. Each one used is listed in the plan.

This table is the only place where a value is assumed; the shapes themselves have no physical default.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass

from optimiser.case.plan_document import Assumption
from optimiser.case.pointer import token
from optimiser.case.say_found import say_found
from optimiser.case.unit_of_field import unit_of_field

COMMON_PRACTICE = "common practice, no source"


NO_BATCH = "not stated"
"""Where a case names none."""


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """What stands in for one field; * in the path is any entry of a list or mapping."""

    path: str
    why: str
    value: object = None
    same_as: str | None = None
    """Take the value of this field beside it instead."""
    only_with: str | None = None
    """Assume only where this field stands beside it."""


ASSUMED = (
    Assumed(path="/sheet/heights", value=[], only_with="outlines", why="the sheet lies level, at height 0"),
    Assumed(path="/cores/*/grooves", value=[], why="the core carries no resin along the sheet"),
    Assumed(path="/cores/*/perforations", value=None, why="the core has no holes that take resin"),
    Assumed(path="/cores/*/surface_uptake_g_m2", value=0.0, why="ask the maker of the core"),
    Assumed(path="/feed_lines/*/hose_bore_mm", same_as="bore_mm", why="the hose is as wide as its line"),
    Assumed(path="/feed_lines/*/use", value="candidate", why="the choice of lines is free"),
    Assumed(path="/vents/*/catch_pot_litres", value=5.0, why=COMMON_PRACTICE),
    Assumed(path="/supply/manifold_volume_litres", value=2.0, why=COMMON_PRACTICE),
    Assumed(path="/resin/batch", value=NO_BATCH, why="write down the batch of the gel test"),
    Assumed(path="/process/ambient_mbar_abs", value=1013.25, why="standard atmosphere; read the barometer"),
    Assumed(path="/process/humidity_percent", value=50.0, why="only the dew point rests on it; measure it"),
    Assumed(path="/process/gel_fraction_percent", value=70.0, why="a margin for the age of the resin"),
    Assumed(path="/process/smallest_lock_cm2", value=50.0, why="two cells of 50 mm; decide what matters"),
    Assumed(path="/process/longest_run_mm", value=600.0, why="500 to 700 mm is common practice, no source"),
    Assumed(path="/process/reserve_percent", value=10.0, why=COMMON_PRACTICE),
    Assumed(
        path="/process/permeability_spread_percent",
        value=25.0,
        why="scatter of permeability tests done to one guideline (Vernet et al. 2014, from memory)",
    ),
    Assumed(
        path="/process/permeability_patchy_percent",
        value=12.0,
        why="scatter within one laboratory, woven fabrics (May et al. 2019, abstract)",
    ),
    Assumed(path="/crew/hands", value=1, why="the careful choice: one person works all taps"),
    Assumed(path="/crew/seconds_per_action", value=15.0, why=COMMON_PRACTICE),
)
BLOCK_THAT_MAY_BE_LEFT_OUT = "crew"
LEAST_LINE_END_PERCENT = 90.0
"""Of a field that came after documents had been stored: taken and listed, but not filled in, so digests stay."""


def with_assumptions(data: Mapping[str, object]) -> tuple[dict[str, object], tuple[Assumption, ...]]:
    """The document's data with every field of the table filled in, and what was taken for it.

    Places where the document has another shape than it should are passed over: the shape check names them.
    """
    filled: object = {BLOCK_THAT_MAY_BE_LEFT_OUT: {}, **data}
    listed: list[Assumption] = []
    for assumed in ASSUMED:
        filled = _fill(filled, assumed.path.split("/")[1:], "", assumed, listed)
    return dict(filled) if isinstance(filled, Mapping) else {}, tuple(listed)


def line_end_assumption(stated_percent: float | None) -> tuple[Assumption, ...]:
    """What is taken for the least pressure at the far end of a line, where the document says nothing."""
    if stated_percent is not None:
        return ()
    key = "least_line_end_percent"
    return (
        Assumption(
            path=f"/process/{key}",
            value=_said(key, LEAST_LINE_END_PERCENT),
            why="our choice: only a warning rests on it",
        ),
    )


def _fill(node: object, keys: list[str], path: str, assumed: Assumed, listed: list[Assumption]) -> object:
    key, rest = keys[0], keys[1:]
    if key == "*" and isinstance(node, list | tuple):
        return [_fill(entry, rest, f"{path}/{place}", assumed, listed) for place, entry in enumerate(node)]
    if not isinstance(node, Mapping):
        return node
    if key == "*":
        return {
            name: _fill(entry, rest, f"{path}/{token(name)}", assumed, listed) for name, entry in node.items()
        }
    if rest and key in node:
        return {**node, key: _fill(node[key], rest, f"{path}/{key}", assumed, listed)}
    if rest or key in node or not all(name in node for name in (assumed.same_as, assumed.only_with) if name):
        return node
    value = copy.copy(assumed.value) if assumed.same_as is None else node[assumed.same_as]
    listed.append(Assumption(path=f"{path}/{key}", value=_said(key, value), why=assumed.why))
    return {**node, key: value}


def _said(key: str, value: object) -> str:
    if value is None or value == []:
        return "none"
    return f"{value if isinstance(value, str) else say_found(value)} {unit_of_field(key)}".strip()
