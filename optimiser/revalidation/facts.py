"""What is kept beside a stored plan, so that it can be judged again without reading the plan or its case."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any, Final, NamedTuple

from optimiser.case.age_at_first_tap import judged_at_each_place
from optimiser.case.plan_document import PlanDocument, PlannedStep, Verdict
from optimiser.case.process_document import TemperaturesDocument
from optimiser.case.read_case import Case
from optimiser.case.read_sequence import sequence_of_plan
from optimiser.case.resin_document import ResinDocument
from optimiser.part.laminate import LayerKind
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Shot

FACTS_VERSION: Final = 1
_LEVEL_M: Final = 1e-9
_VERSION, _RESIN, _STEPS, _SPREAD = "version", "resin", "steps", "spread_wet_out_s"
_TEMPERATURES: Final = "temperatures"
_CAME_LATER: Final[dict[str, Any]] = {
    "mixes_timed": False,
    "bag_gives": False,
    "crew_walks": False,
    "age_at_first_tap_min": None,
    _TEMPERATURES: [],
    "at_each_place": False,
    "finer_wet_out_s": None,
}
"""What stands for nothing new in fields that earlier versions did not keep."""


class StepFact(NamedTuple):
    """A step of the sequence with its times on the sheet: a bare row, because a column of a database holds many."""

    action: str
    label: str
    trigger: str
    place: str | None
    share: float
    at_s: float | None
    delay_s: float
    expected_at_s: float | None
    earliest_s: float | None
    latest_s: float | None


@dataclass(frozen=True, kw_only=True)
class Facts:
    software_version: str
    """That made the plan."""
    admissible: bool
    other_failure: str | None
    """The first requirement that the plan does not meet, lateness aside; None: there is none."""
    wet_out_s: float | None
    spread_wet_out_s: tuple[float | None, float | None]
    """Soonest and latest with the stated spread of permeability."""
    gel_time_s: float
    gel_limit_s: float
    gel_fraction: float
    viscosity_pa_s: float
    driving_pa: float
    """Supply pressure above the vacuum under the bag."""
    ambient_mbar_abs: float
    vacuum_mbar_abs: float
    pressure_cap_mbar_abs: float | None
    """Of the metering machine; None: the air presses the resin in."""
    flow_capped: bool
    """The supply has a flow cap, whether or not it ever bound."""
    mould_temperature_c: float
    resin_temperature_c: float
    action_s: float
    """Time that one person needs for one tap."""
    heights_matter: bool
    """Not all of sheet, lines and supply lie at one height."""
    uptake_by_weight: bool
    """A core takes resin up by weight, so the pore volume goes with the resin's density."""
    resin: ResinDocument
    """Before the change, complete."""
    steps: tuple[StepFact, ...]
    """In the order of the plan."""
    mixes_timed: bool = False
    """The case says how long a mix takes, so that each has a gel clock that only runs can judge."""
    age_at_first_tap_min: float | None = None
    """Of the first mix, as stated in the case."""
    temperatures: tuple[TemperaturesDocument, ...] = ()
    """Over the shot; empty: they stay."""
    at_each_place: bool = False
    """Gel is judged by the age of the resin at each place, which only runs tell."""
    bag_gives: bool = False
    """A laminate gives by how hard the air presses on it."""

    crew_walks: bool = False
    """Between manifolds, which takes as long with any resin and differs from tap to tap."""
    finer_wet_out_s: float | None = None
    """On cells of half the size; None: never, or not played there."""

    @property
    def sequence(self) -> Sequence:
        return Sequence(steps=tuple(map(_step, self.steps)))


def facts_of(case: Case, plan: PlanDocument) -> Facts:
    """From a plan and the case it was made for."""
    shot, process = case.shot, case.document.process
    late = plan.wet_out_s is not None and plan.wet_out_s > plan.gel_limit_s
    others = plan.reasons[:-1] if late else plan.reasons  # lateness is always told last
    machine = shot.supply.most_flow_m3_s is not None
    return Facts(
        software_version=plan.tapcall_version,
        admissible=plan.verdict is Verdict.VERIFIED,
        other_failure=f"{others[0].requirement}: {others[0].by_how_much}, {others[0].where}" if others else None,
        wet_out_s=plan.wet_out_s,
        spread_wet_out_s=plan.spread_wet_out_s,
        gel_time_s=plan.gel_time_s,
        gel_limit_s=plan.gel_limit_s,
        gel_fraction=shot.process.gel_fraction,
        viscosity_pa_s=plan.conditions.viscosity_mpa_s * 1e-3,
        driving_pa=shot.supply.most_pressure_pa - shot.process.vacuum_pa,
        ambient_mbar_abs=process.ambient_mbar_abs,
        vacuum_mbar_abs=process.vacuum_mbar_abs,
        pressure_cap_mbar_abs=plan.conditions.pressure_cap_mbar_abs if machine else None,
        flow_capped=machine,
        mould_temperature_c=process.mould_temperature_c,
        resin_temperature_c=process.resin_temperature_c,
        action_s=shot.crew.action_s,
        heights_matter=_heights_matter(shot),
        uptake_by_weight=_uptake_by_weight(case),
        resin=case.document.resin,
        steps=_step_facts(plan),
        mixes_timed=shot.supply.mix_s is not None,
        age_at_first_tap_min=process.age_at_first_tap_min,
        temperatures=process.temperatures,
        at_each_place=judged_at_each_place(case.document),
        crew_walks=bool(shot.crew.places),
        finer_wet_out_s=None if plan.proof.finer_cells is None else plan.proof.finer_cells.wet_out_s,
        bag_gives=any(area.laminate.compaction is not None for area in shot.part.areas),
    )


def facts_to_plain(facts: Facts) -> dict[str, Any]:
    """As JSON may hold it."""
    plain = {field.name: getattr(facts, field.name) for field in fields(Facts)}
    plain[_RESIN] = facts.resin.model_dump(mode="json")
    plain[_STEPS] = [list(step) for step in facts.steps]
    plain[_SPREAD] = list(facts.spread_wet_out_s)
    plain[_TEMPERATURES] = [row.model_dump(mode="json") for row in facts.temperatures]
    for name, default in _CAME_LATER.items():
        if plain[name] == default:
            del plain[name]  # facts without it stay as they were kept
    return {_VERSION: FACTS_VERSION, **plain}


def facts_from_plain(plain: Mapping[str, Any]) -> Facts:
    """From what `facts_to_plain` made; ValueError for facts of another version, to be drawn from the plan again."""
    if plain.get(_VERSION) != FACTS_VERSION:
        raise ValueError(f"facts of version {plain.get(_VERSION)}, expected {FACTS_VERSION}: draw them from the plan")
    given = {name: value for name, value in plain.items() if name != _VERSION}
    given[_RESIN] = _resin(json.dumps(plain[_RESIN]))
    given[_STEPS] = tuple(StepFact(*step) for step in plain[_STEPS])
    given[_SPREAD] = tuple(plain[_SPREAD])
    given[_TEMPERATURES] = tuple(TemperaturesDocument(**row) for row in plain.get(_TEMPERATURES, ()))
    return Facts(**given)


@lru_cache(maxsize=4096)
def _resin(text: str) -> ResinDocument:
    """Read once for all plans of one resin."""
    return ResinDocument.model_validate_json(text)


def _step(fact: StepFact) -> Step:
    trigger = Trigger(
        kind=TriggerKind(fact.trigger), place=fact.place, share=fact.share, at_s=fact.at_s, delay_s=fact.delay_s
    )
    return Step(action=Action(fact.action), label=fact.label, trigger=trigger)


def _step_facts(plan: PlanDocument) -> tuple[StepFact, ...]:
    planned = sorted(plan.steps, key=lambda step: step.order)
    steps = sequence_of_plan(plan).steps
    return tuple(_step_fact(one, step) for one, step in zip(planned, steps, strict=True))


def _step_fact(planned: PlannedStep, step: Step) -> StepFact:
    trigger = step.trigger
    return StepFact(
        action=step.action.value,
        label=step.label,
        trigger=trigger.kind.value,
        place=trigger.place,
        share=trigger.share,
        at_s=trigger.at_s,
        delay_s=trigger.delay_s,
        expected_at_s=planned.expected_at_s,
        earliest_s=planned.earliest_s,
        latest_s=planned.latest_s,
    )


def _heights_matter(shot: Shot) -> bool:
    part = shot.part
    if part.surface is not None:
        heights = [z_m for _, _, z_m in part.surface.vertices_m]
    else:
        heights = [point.height_m for point in part.heights] or [0.0]
    heights.append(shot.supply.height_m)
    return max(heights) - min(heights) > _LEVEL_M


def _uptake_by_weight(case: Case) -> bool:
    cores = case.document.cores
    laid = {
        layer.name for area in case.shot.part.areas for layer in area.laminate.layers if layer.kind is LayerKind.CORE
    }
    return any(cores[name].surface_uptake_g_m2 > 0 for name in laid)
