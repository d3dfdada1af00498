"""A small panel after the demo case, a sequence for it, and its stored plan: all in well under a second.

Three lines along it, a vent along each long edge, cells of 100 mm; what is proven does not depend on their size.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.change_document import changed_case, read_change
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp
from optimiser.revalidation.facts import Facts, facts_of
from optimiser.revalidation.look_up import look_up
from optimiser.revalidation.replay import replay


@dataclass(frozen=True, kw_only=True)
class Stored:
    """A plan that was made, and the case it was made for."""

    data: dict[str, Any]
    plan: PlanDocument
    facts: Facts

    def look_up(self, change: Mapping[str, Any]) -> Answer | CannotLookUp | CannotJudge:
        return look_up(self.facts, read_change(change))

    def replay(self, change: Mapping[str, Any]) -> Answer | CannotJudge:
        return replay(self.data, self.facts, read_change(change))

    def check(self, change: Mapping[str, Any]) -> PlanDocument:
        """The long way: the stored sequence checked in the changed case."""
        case = case_from_mapping(changed_case(self.data, read_change(change)))
        return check_sequence_of_case(case, self.facts.sequence)


class Yard:
    """Cases, sequences and stored plans; each plan is made once for all tests."""

    def __init__(self, planned_once: Any) -> None:
        self._planned_once = planned_once
        self._stored: dict[str, Stored] = {}

    def data(self, **blocks: Mapping[str, Any]) -> dict[str, Any]:
        """The panel's data with values of its blocks changed."""
        data: dict[str, Any] = deepcopy(dict(_demo()))
        data["sheet"]["outlines"][0]["border_mm"] = [[0, 0], [1200, 0], [1200, 900], [0, 900]]
        for line, y_mm in zip(data["feed_lines"], (150, 450, 750), strict=True):
            line["sections"][0]["run_mm"] = [[100, y_mm], [1100, y_mm]]
        for vent, y_mm in zip(data["vents"], (20, 880), strict=True):
            vent["run_mm"] = [[20, y_mm], [1180, y_mm]]
        data["search"] = {"cell_mm": 100, "coarse_cell_mm": 100, "most_zones": 12}
        for name, values in blocks.items():
            data[name] = {**data[name], **values}
        return data

    def outward(self) -> list[dict[str, Any]]:
        """From the middle, each other line when resin stands in it, vents clamped when reached."""
        return [
            _step("open", "2", {"start": True}),
            *(_step("open", label, {"reached": label}) for label in ("1", "3")),
            *(_step("clamp", vent, {"reached": vent}) for vent in ("V-NEAR", "V-FAR")),
        ]

    def middle_alone(self) -> list[dict[str, Any]]:
        """The middle line, and no more hands."""
        return [_step("open", "2", {"start": True})]

    def both_edges(self) -> list[dict[str, Any]]:
        """The outer lines at the start close round the middle: it locks."""
        return [_step("open", label, {"start": True}) for label in ("1", "3")]

    def stored(self, steps: list[dict[str, Any]], data: dict[str, Any]) -> Stored:
        key = repr((steps, data))
        if key not in self._stored:
            plan = self._planned_once.check(data, steps)
            self._stored[key] = Stored(data=data, plan=plan, facts=facts_of(case_from_mapping(data), plan))
        return self._stored[key]


def _demo() -> Mapping[str, Any]:
    data = read_data(demo_case_path("flat_panel"))
    assert isinstance(data, Mapping)
    return data


def _step(action: str, label: str, when: dict[str, Any]) -> dict[str, Any]:
    return {"action": action, "label": label, "when": when}


@pytest.fixture(scope="session")
def yard(planned_once: Any) -> Yard:
    return Yard(planned_once)
