"""Judge one plan's sequence at each setting: by look-up where that is exact, by network runs where it is not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from optimiser import __version__
from optimiser.case.age_at_first_tap import judged_at_each_place, thickens
from optimiser.case.build_shot import clock_of_document
from optimiser.case.change_document import changed_case
from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.errors import InputError
from optimiser.one_blas_thread import one_blas_thread
from optimiser.part.shot import Shot
from optimiser.plan.result import Progress
from optimiser.revalidation.answer import CannotJudge
from optimiser.revalidation.clocks import follows_age
from optimiser.revalidation.facts import Facts, facts_of
from optimiser.revalidation.resin_now import ResinNow, resin_now
from optimiser.sweep.fronts import Front, looked_up, played
from optimiser.sweep.settings import Setting, out_of_reach, own_setting, setting_at
from optimiser.sweep.sweep_document import SweepCell, SweepDocument
from optimiser.sweep.weigh import cell_of, cell_without
from optimiser.units import fraction_from_percent

PHASE: Final = "playing the sequence at other temperatures"


_Key = tuple[float, float | None]
"""Temperature of the mould, and level of initiator where each has a front of its own."""


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """A setting, and its resin or why nothing is said of it."""

    setting: Setting
    now: ResinNow | str


@one_blas_thread
def sweep(
    case: Case,
    plan: PlanDocument,
    *,
    temperatures_c: tuple[float, ...],
    levels_percent: tuple[float, ...],
    sequence_from: str,
    notes: tuple[str, ...] = (),
    progress: Callable[[Progress], None] | None = None,
    workers: int | None = None,
) -> SweepDocument:
    """Every temperature of the mould with every level of initiator, both ascending and with the case's own among them.

    `plan` was made for this case; its sequence stays as it is at every setting. NotConvergedError for a run without an
    answer that may be believed.
    """
    facts = facts_of(case, plan)
    asked = {
        each_c: [_asked(case, facts, setting_at(case.document, each_c, percent)) for percent in levels_percent]
        for each_c in temperatures_c
    }
    within: defaultdict[_Key, list[_Asked]] = defaultdict(list)
    own_front = thickens(case.document.resin) or judged_at_each_place(case.document)
    for one in (one for row in asked.values() for one in row if isinstance(one.now, ResinNow)):
        within[_key(one, own_front)].append(one)
    fronts: dict[_Key, Front] = {}
    to_play: dict[_Key, str] = {}
    for key, alike in within.items():
        found = looked_up(facts, plan, [one.setting for one in alike])
        if isinstance(found, Front):
            fronts[key] = found
        else:
            to_play[key] = found.reason
    if to_play:
        shots = [_shot(case, _gels_last(within[key])) for key in to_play]
        tell = None if progress is None else _teller(progress)
        fronts |= zip(to_play, played(facts.sequence, shots, each=tell, workers=workers), strict=True)
    own = own_setting(case.document)
    resin, process = case.document.resin, case.document.process
    return SweepDocument(
        tapcall_version=__version__,
        case_name=case.document.name,
        case_digest=case.digest,
        resin=resin.name,
        batch=resin.batch,
        sequence_from=sequence_from,
        steps=[f"{step.action} {step.label}: {step.trigger.says}" for step in plan.steps],
        gel_fraction=facts.gel_fraction,
        initiator_range_percent=(resin.initiator.least_percent, resin.initiator.most_percent),
        permeability_spread_percent=process.permeability_spread_percent,
        temperatures_c=list(temperatures_c),
        levels_percent=list(levels_percent),
        resin_warmer_k=own.resin_temperature_c - own.mould_temperature_c,
        at_first_tap=True if process.temperatures else None,
        thickens=True if thickens(resin) else None,
        age_at_first_tap_s=case.shot.process.age_at_first_tap_s or None,
        cells=[_cell(one, fronts.get(_key(one, own_front)), facts, own) for row in asked.values() for one in row],
        looked_up_not=_why_played(to_play),
        notes=list(notes),
        network_runs=sum(front.network_runs for front in fronts.values()),
    )


def _key(one: _Asked, own_front: bool) -> _Key:
    return one.setting.mould_temperature_c, one.setting.initiator_percent if own_front else None


def _asked(case: Case, facts: Facts, setting: Setting) -> _Asked:
    why = out_of_reach(case.document, setting)
    if why is not None:
        return _Asked(setting=setting, now=why)
    if follows_age(facts):
        return _Asked(setting=setting, now=_with_age(case, setting))
    now = resin_now(facts.resin, setting.change, setting.mould_temperature_c, setting.resin_temperature_c)
    return _Asked(setting=setting, now=now.reason if isinstance(now, CannotJudge) else now)


def _with_age(case: Case, setting: Setting) -> ResinNow | str:
    """The resin as the case read at this setting has it, or why that is refused."""
    try:
        document = case_from_mapping(changed_case(case.document.model_dump(mode="json"), setting.change)).document
    except InputError as error:
        return CannotJudge.because_of(error).reason
    clock = clock_of_document(document)
    return ResinNow(
        viscosity_pa_s=clock.fresh_pa_s,
        gel_time_s=clock.gel_time_s,
        density_kg_m3=document.resin.density_kg_m3,
        initiator_percent=setting.initiator_percent,
        gel_limit_s=clock.limit_s(fraction_from_percent(document.process.gel_fraction_percent)),
    )


def _gels_last(row: list[_Asked]) -> Setting:
    return max(row, key=lambda one: one.now.gel_time_s if isinstance(one.now, ResinNow) else 0.0).setting


def _shot(case: Case, setting: Setting) -> Shot:
    return case_from_mapping(changed_case(case.document.model_dump(mode="json"), setting.change)).shot


def _cell(one: _Asked, front: Front | None, facts: Facts, own: Setting) -> SweepCell:
    is_own = one.setting == own
    if isinstance(one.now, str) or front is None:
        return cell_without(one.setting, str(one.now), own=is_own)
    return cell_of(one.setting, one.now, front, facts.gel_fraction, own=is_own)


def _why_played(to_play: dict[_Key, str]) -> list[str]:
    """A sentence for each reason, with its temperatures; how much the viscosity changes is left to the table."""
    by_reason: defaultdict[str, list[str]] = defaultdict(list)
    for (each_c, _), reason in to_play.items():
        by_reason[reason.split(", and ", 1)[-1]].append(f"{each_c:g}")
    return [f"{', '.join(dict.fromkeys(where))} degrees C: {reason}" for reason, where in by_reason.items()]


def _teller(progress: Callable[[Progress], None]) -> Callable[[float], None]:
    return lambda fraction: progress(Progress(phase=PHASE, fraction=fraction))
