"""A plan.json is taken where a sequence is asked for: every output is an input."""

from __future__ import annotations

import json

import pytest

from cases import demo_case_path
from optimiser.case.amounts_document import ResinQuantities
from optimiser.case.check_sequence import check_sequence
from optimiser.case.plan_document import (
    Conditions,
    Consumption,
    Effort,
    MapData,
    PlanDocument,
    PlannedStep,
    TriggerText,
    Verdict,
)
from optimiser.case.proof_document import Proof, ProofStatus
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.errors import InputError
from optimiser.part.sequence import Action, Step, Trigger, TriggerKind


def step(order: int, label: str, trigger: TriggerText, *, action: str = "open") -> PlannedStep:
    unknown = dict.fromkeys(("expected_at_s", "earliest_s", "latest_s", "flow_kg_per_min", "drawn_kg"))
    said = {"order": order, "label": label, "action": action, "trigger": trigger}
    kind = "vent" if action == "clamp" else "line"
    return PlannedStep.model_validate({**said, **unknown, "line": label, "kind": kind})


def plan(*steps: PlannedStep) -> PlanDocument:
    """The smallest document in the plan's shape; only its steps matter here."""
    conditions = Conditions(
        resin="demo",
        batch="demo",
        resin_density_kg_per_m3=1080,
        viscosity_mpa_s=250,
        mould_temperature_c=20,
        resin_temperature_c=20,
        initiator_percent=1.5,
        initiator_range_percent=(1.2, 2.0),
        gel_time_s=5400,
        gel_fraction=0.7,
        ambient_mbar_abs=1013,
        vacuum_mbar_abs=25,
        humidity_percent=55,
        dew_point_c=10,
        supply="open container",
        flow_cap_kg_per_min=None,
        pressure_cap_mbar_abs=1013,
        hands=1,
        seconds_per_action=15,
    )
    kilograms = dict.fromkeys((name for name in ResinQuantities.model_fields if name.endswith("_kg")), 0.0)
    return PlanDocument(
        tapcall_version="0",
        solver_version="0",
        case_name="flat panel",
        case_digest="0",
        seed=1,
        verdict=Verdict.VERIFIED,
        reasons=[],
        wet_out_s=None,
        gel_time_s=5400,
        gel_limit_s=3780,
        gel_margin_s=None,
        permeability_spread_percent=25,
        permeability_patchy_percent=12,
        spread_wet_out_s=(None, None),
        steps=list(steps),
        locked=[],
        lines=[],
        zones=[],
        resin=ResinQuantities.model_validate({**kilograms, "initiator_percent": 1.5}),
        consumption=Consumption(
            time_s=[], drawn_kg=[], flow_kg_per_min=[], manifold_mbar_abs=[], wet_share=[]
        ),
        proof=Proof(
            status=ProofStatus.CHECKED_ONLY,
            statement="",
            zone_count=0,
            graph_optimum_s=None,
            bound_s=None,
            rounds=[],
            ended_because="",
        ),
        candidates=[],
        conditions=conditions,
        assumptions=[],
        warnings=[],
        map=MapData(outlines=[], runs=[], cell_mm=50, x_mm=[], y_mm=[], wet_s=[]),
        effort=Effort(
            cells=0, network_nodes=0, network_links=0, network_runs=0, front_steps=0, linear_solves=0
        ),
    )


PLAN = plan(
    step(2, "1", TriggerText(kind="reached", place="1", share=0.9, delay_s=20, says="")),
    step(1, "2", TriggerText(kind="start", says="")),
    step(3, "V-FAR", TriggerText(kind="clock", at_s=1500, says=""), action="clamp"),
)


def test_a_plan_is_read_as_the_sequence_it_holds() -> None:
    """Its steps in their order, with their triggers; the rest of the plan is left aside."""
    sequence = read_sequence(PLAN.model_dump_json().encode())
    reached = Trigger(kind=TriggerKind.REACHED, place="1", share=0.9, delay_s=20.0)
    assert sequence.steps == (
        Step(action=Action.OPEN, label="2", trigger=Trigger(kind=TriggerKind.START)),
        Step(action=Action.OPEN, label="1", trigger=reached),
        Step(action=Action.CLAMP, label="V-FAR", trigger=Trigger(kind=TriggerKind.CLOCK, at_s=1500.0)),
    )
    assert check_sequence(sequence, read_case(demo_case_path("flat_panel")).shot) == ()


def test_a_damaged_plan_is_refused_at_its_place() -> None:
    """A plan that lost a step's label is no sequence."""
    damaged = PLAN.model_dump(mode="json")
    del damaged["steps"][1]["label"]
    with pytest.raises(InputError) as caught:
        read_sequence(json.dumps(damaged).encode())
    assert [fault.path for fault in caught.value.faults] == ["/steps/1/label"]


@pytest.mark.parametrize(
    ("number", "change", "path", "expected"),
    [
        (1, {"delay_s": -1}, "/steps/1/trigger/delay_s", "0"),
        (0, {"delay_s": 1e9}, "/steps/0/trigger/delay_s", "172800"),
        (2, {"at_s": -1}, "/steps/2/trigger/at_s", "0"),
        (2, {"at_s": 172801}, "/steps/2/trigger/at_s", "172800"),
        (2, {"at_s": None}, "/steps/2/trigger/at_s", "seconds from 0 to 172800"),
        (0, {"place": None}, "/steps/0/trigger/place", "the label of a feed line or vent"),
    ],
)
def test_a_trigger_that_says_nothing_is_refused_at_its_place(
    number: int, change: dict[str, object], path: str, expected: str
) -> None:
    """Seconds out of range, a clock without a time, and a sight without a place: never an error of the program."""
    damaged = PLAN.model_dump(mode="json")
    damaged["steps"][number]["trigger"] |= change
    with pytest.raises(InputError) as caught:
        read_sequence(json.dumps(damaged).encode())
    (fault,) = caught.value.faults
    assert fault.path == path
    assert expected in fault.expected
