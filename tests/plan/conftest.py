"""Small flat panels after the demo case, planned in a second or two; each layout is planned once for all tests.

Laminate, resin and process are those of the demo. Cells of 100 mm are far too coarse for a real panel; what is proven
here does not depend on their size.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.part.sequence import Sequence

LAYOUTS: dict[str, dict[str, Any]] = {
    "three lines": {},
    "two lines": {"lines_y_mm": (250, 650)},
    "lines near one edge": {"length_mm": 1500, "width_mm": 600, "lines_y_mm": (200, 250, 450), "cell_mm": 75},
    "slow patch": {"patch_mm": [[400, 200], [800, 200], [800, 400], [400, 400]]},
    "flow cap": {"supply": {"kind": "metering_machine", "pressure_cap_mbar_abs": 900, "flow_cap_kg_per_min": 0.4}},
    "one edge high": {"rise_mm": 900},
}


class Panels:
    """Cases, sequences written by hand for them, and their plans."""

    layouts = LAYOUTS
    vents = ("V-NEAR", "V-FAR")

    def __init__(self, planned_once: Any) -> None:
        self._planned_once = planned_once

    def data(
        self,
        *,
        length_mm: float = 1200,
        width_mm: float = 900,
        lines_y_mm: tuple[float, ...] = (150, 450, 750),
        cell_mm: float = 100,
        coarse_cell_mm: float = 100,
        rounds: int = 2,
        patch_mm: list[list[float]] | None = None,
        supply: Mapping[str, Any] | None = None,
        rise_mm: float = 0.0,
        rules: Mapping[str, Any] | None = None,
        uses: Mapping[str, str] | None = None,
        process: Mapping[str, Any] | None = None,
        crew: Mapping[str, Any] | None = None,
        edge_to_edge: bool = False,
        mistakes: bool | None = False,
        remedies: bool | None = False,
    ) -> dict[str, Any]:
        """The demo's data with the panel, its lines and its vents moved; lines '1', '2', '3' along it.

        mistakes, remedies: played and tried or not; None: as the case has it that says nothing.
        """
        data = _demo()
        data["sheet"]["outlines"][0]["border_mm"] = _box(0, 0, length_mm, width_mm)
        data["feed_lines"] = data["feed_lines"][: len(lines_y_mm)]
        for line, y_mm in zip(data["feed_lines"], lines_y_mm, strict=True):
            short_mm = 5 if edge_to_edge else 100
            line["sections"][0]["run_mm"] = [[short_mm, y_mm], [length_mm - short_mm, y_mm]]
            line["use"] = (uses or {}).get(line["name"], "candidate")
        for vent, y_mm in zip(data["vents"], (20, width_mm - 20), strict=True):
            vent["run_mm"] = [[20, y_mm], [length_mm - 20, y_mm]]
        if patch_mm is not None:
            data["laminates"]["solid"] = {**data["laminates"]["sandwich"], "layers": [_PLIES]}
            data["areas"].append({"name": "patch", "laminate": "solid", "border_mm": patch_mm})
        if supply is not None:
            data["supply"] = {**_machine(), **supply}
        if rise_mm:
            data["sheet"]["heights"] = [
                {"at_mm": [x_mm, y_mm], "height_mm": rise_mm * y_mm / width_mm}
                for x_mm, y_mm in _box(0, 0, length_mm, width_mm)
            ]
        data["rules"] = {"start": [], "order": [], "own_sequence": None, **(rules or {})}
        data["process"] |= process or {}
        data["crew"] |= crew or {}
        data["search"] = {
            "cell_mm": cell_mm,
            "coarse_cell_mm": coarse_cell_mm,
            "most_zones": 12,
            "rounds": rounds,
            "solver_effort": 0.2,
        }
        asked = {"mistakes": mistakes, "remedies": remedies}
        data["search"] |= {name: wanted for name, wanted in asked.items() if wanted is not None}
        return data

    def case(self, **layout: Any) -> Case:
        return case_from_mapping(self.data(**layout))

    def plan(self, **layout: Any) -> PlanDocument:
        """Planned once for each layout; that equal inputs give equal plans is proven apart."""
        return self.plan_of(self.data(**layout))

    def plan_of(self, data: dict[str, Any]) -> PlanDocument:
        planned: PlanDocument = self._planned_once.plan(data)
        return planned

    def check(self, steps: list[dict[str, Any]], **layout: Any) -> PlanDocument:
        return self.check_of(self.data(**layout), steps)

    def check_of(self, data: dict[str, Any], steps: list[dict[str, Any]]) -> PlanDocument:
        checked: PlanDocument = self._planned_once.check(data, steps)
        return checked

    def sequence(self, steps: list[dict[str, Any]]) -> Sequence:
        return sequence_from_mapping({"schema_version": 1, "steps": steps})

    def outward(self, labels: tuple[str, ...], start: tuple[str, ...], *, on: str = "reached") -> list[dict[str, Any]]:
        """What a lead would write: these first, each other line by what it waits for, vents clamped when reached."""
        steps = [_step("open", label, {"start": True}) for label in start]
        steps += [_step("open", label, {on: label}) for label in labels if label not in start]
        return steps + [_step("clamp", vent, {"reached": vent}) for vent in self.vents]

    def by_clock(self, opens_s: Mapping[str, float]) -> list[dict[str, Any]]:
        steps = [_step("open", label, {"clock_s": at} if at else {"start": True}) for label, at in opens_s.items()]
        return steps + [_step("clamp", vent, {"reached": vent}) for vent in self.vents]


_PLIES = {"ply": "biax 600", "angle_deg": 0, "count": 4}


def _demo() -> dict[str, Any]:
    return deepcopy(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8")))


def _box(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def _machine() -> dict[str, Any]:
    return {"manifold_height_mm": 0, "manifold_volume_litres": 0.5}


def _step(action: str, label: str, when: dict[str, Any]) -> dict[str, Any]:
    return {"action": action, "label": label, "when": when}


@pytest.fixture(scope="session")
def panels(planned_once: Any) -> Panels:
    return Panels(planned_once)


@pytest.fixture(params=LAYOUTS)
def layout(request: pytest.FixtureRequest) -> dict[str, Any]:
    """Each of the layouts in turn."""
    return LAYOUTS[request.param]
