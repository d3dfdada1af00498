"""One bay of an even laminate, fed along one edge and drained along the other: flow in one dimension.

Viscosity and gel time follow published laws between their points, so that every number of a sweep has a closed form.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.sweep.sweep import sweep
from optimiser.sweep.sweep_document import SweepDocument

LENGTH_MM, CELL_MM = 700, 20

BAY: dict[str, Any] = {
    "schema_version": 1,
    "name": "One bay",
    "sheet": {"outlines": [{"name": "bay", "border_mm": [[0, 0], [LENGTH_MM, 0], [LENGTH_MM, 100], [0, 100]]}]},
    "reinforcements": {
        "cloth": {
            "fibre_density_kg_m3": 2550,
            "areal_weight_g_m2": 800,
            "permeability": {"measured": {"along_m2": 2e-10, "across_m2": 2e-10, "at_fibre_volume_percent": 50}},
        }
    },
    "laminates": {
        "plies": {"fibre_volume_percent": 50, "layers": [{"ply": "cloth", "angle_deg": 0, "count": 4}]},
    },
    "areas": [{"name": "bay", "laminate": "plies", "border_mm": None}],
    "feed_lines": [
        {
            "name": "1",
            "bore_mm": 12,
            "sections": [{"run_mm": [[0, 0], [0, 100]], "hose_length_mm": 20, "inlet": "middle"}],
        }
    ],
    "vents": [{"name": "V", "run_mm": [[LENGTH_MM, 0], [LENGTH_MM, 100]], "bore_mm": 12, "hose_length_mm": 500}],
    "supply": {"kind": "open_container", "surface_height_mm": 0, "manifold_volume_litres": 0},
    "resin": {
        "name": "invented resin",
        "batch": "B 7",
        "density_kg_m3": 1080,
        # Arrhenius' law: 250 mPa s at 25 degrees C, 35 kJ/mol
        "viscosity_points": [
            {"temperature_c": 15, "viscosity_mpa_s": 408.071846},
            {"temperature_c": 30, "viscosity_mpa_s": 198.064359},
        ],
        # Arrhenius' law: 60 min at 25 degrees C with 1 %, 50 kJ/mol; half of it with 2 %: t ~ 1 / C
        "gel_time_points": [
            {"temperature_c": 15, "initiator_percent": 1.0, "gel_time_min": 120.822113},
            {"temperature_c": 30, "initiator_percent": 1.0, "gel_time_min": 43.0204127},
            {"temperature_c": 15, "initiator_percent": 2.0, "gel_time_min": 60.4110565},
            {"temperature_c": 30, "initiator_percent": 2.0, "gel_time_min": 21.51020635},
        ],
        "initiator": {"level_percent": 1.5, "least_percent": 1.0, "most_percent": 2.0},
    },
    "process": {
        "ambient_mbar_abs": 1000,
        "vacuum_mbar_abs": 100,
        "mould_temperature_c": 20,
        "resin_temperature_c": 20,
        "gel_fraction_percent": 70,
        "permeability_spread_percent": 25,
        "permeability_patchy_percent": 0,
        "reserve_percent": 10,
    },
    "search": {"cell_mm": CELL_MM, "coarse_cell_mm": 50, "most_zones": 10, "rounds": 1, "solver_effort": 0.2},
}

OPEN = [{"action": "open", "label": "1", "when": {"start": True}}]
WITH_A_CLOCK = [*OPEN, {"action": "clamp", "label": "V", "when": {"clock_s": 20_000}}]
"""Long after all is wet; but the look-up does not know."""
BY_CLOCK_TOO_EARLY = [*OPEN, {"action": "clamp", "label": "V", "when": {"clock_s": 600}}]
"""The vent is clamped while the far end is dry: it locks."""


class Bay:
    """The case, plans of it and sweeps; each plan is made once for all tests."""

    open, with_a_clock, clamped_too_early = OPEN, WITH_A_CLOCK, BY_CLOCK_TOO_EARLY

    def __init__(self) -> None:
        self._plans: dict[str, PlanDocument] = {}

    def data(self, **blocks: Mapping[str, Any]) -> dict[str, Any]:
        """Plain data with values of its blocks changed."""
        data = deepcopy(BAY)
        for name, values in blocks.items():
            data[name] = {**data[name], **values}
        return data

    def case(self, **blocks: Mapping[str, Any]) -> Case:
        return case_from_mapping(self.data(**blocks))

    def plan(self, case: Case, steps: list[dict[str, Any]]) -> PlanDocument:
        key = f"{case.digest} {steps}"
        if key not in self._plans:
            self._plans[key] = check_sequence_of_case(case, sequence_from_mapping({"steps": steps}), workers=1)
        return self._plans[key]

    def sweep(
        self,
        steps: list[dict[str, Any]],
        temperatures_c: tuple[float, ...] = (15.0, 20.0, 25.0, 30.0),
        levels_percent: tuple[float, ...] = (1.0, 1.5, 2.0),
        **blocks: Mapping[str, Any],
    ) -> SweepDocument:
        case = self.case(**blocks)
        return sweep(
            case,
            self.plan(case, steps),
            temperatures_c=temperatures_c,
            levels_percent=levels_percent,
            sequence_from="that of the test",
            workers=1,
        )


@pytest.fixture(scope="session")
def bay() -> Bay:
    return Bay()


@pytest.fixture(scope="session")
def looked_up(bay: Bay) -> SweepDocument:
    """The bay with its one tap, which is open from the start."""
    return bay.sweep(OPEN)


@pytest.fixture(scope="session")
def make_sweep(bay: Bay) -> Callable[..., SweepDocument]:
    return bay.sweep
