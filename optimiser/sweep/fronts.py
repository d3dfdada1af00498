"""What the front does at one temperature, whatever the level of initiator: looked up, or played on the network."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from optimiser.case.plan_document import PlanDocument
from optimiser.case.quantities import resin_quantities
from optimiser.case.reasons import IN_SPREAD, locked
from optimiser.case.thickness import swollen_m3
from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Runner, Task
from optimiser.filling.simulate import FillLimits
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Sequence
from optimiser.part.shot import GelRule, Shot
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.resin_clock import clock_of_shot
from optimiser.plan.scenes import SPREADS, full_network_of, full_scene_of, gel_time_of, limits_of, spread_scenes_of
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp, Way
from optimiser.revalidation.clocks import follows_age
from optimiser.revalidation.facts import Facts
from optimiser.revalidation.look_up import look_up
from optimiser.revalidation.replay import first_failure, said
from optimiser.sweep.settings import Setting


@dataclass(frozen=True, kw_only=True)
class Front:
    """The level of initiator moves the gel clock alone, so one front serves all levels at its temperature; where resin
    thickens or gel is judged at each place, each level has its own."""

    way: Way
    wet_out_s: float
    """Infinity: never all wet."""
    latest_wet_out_s: float | None
    """With the stated spread; None: not played, as the sequence fails without."""
    failure: str | None
    """The first requirement that fails, lateness aside."""
    resin_kg: float
    network_runs: int
    gel_limit_s: float | None = None
    """Where gel is judged at each place; None: that of the oldest resin."""


def looked_up(facts: Facts, plan: PlanDocument, settings: list[Setting]) -> Front | CannotLookUp | CannotJudge:
    """For settings of one temperature: by look-up if all of them may be, else the first reason why not."""
    found = [look_up(facts, setting.change) for setting in settings]
    for each in found:
        if not isinstance(each, Answer):
            return each
    (answer,) = {each.wet_out_after_s for each in found if isinstance(each, Answer)}
    before_s, latest_s = facts.wet_out_s, facts.spread_wet_out_s[1]
    if answer is None or before_s is None or latest_s is None:
        return CannotLookUp(reason="in the stored runs some of the part stays dry")
    if answer != before_s and follows_age(facts):
        return CannotLookUp(reason="the viscosity takes another course over the shot, and so does the spread")
    return Front(
        way=Way.LOOK_UP,
        wet_out_s=answer,
        latest_wet_out_s=latest_s * answer / before_s,
        failure=facts.other_failure,
        resin_kg=plan.resin.total_kg,
        network_runs=0,
    )


def played(
    sequence: Sequence, shots: list[Shot], *, each: Callable[[float], None] | None = None, workers: int | None = None
) -> list[Front]:
    """The sequence on the full network in each shot, and in its spread where the shot is in time.

    The shots are of one part and supply. Each is to have the level of its temperature that gels last: a sequence that
    is late with that one is late with all. NotConvergedError for a run without an answer that may be believed.
    """
    network = full_network_of(shots[0])
    clocks = [clock_of_shot(shot) for shot in shots]
    nominal = [full_scene_of(shot, network, clock) for shot, clock in zip(shots, clocks, strict=True)]
    spread = [scene for shot, one in zip(shots, nominal, strict=True) for scene in spread_scenes_of(shot, one)]
    tell = each or (lambda _: None)
    most = len(nominal) + len(spread)
    with Runner((*nominal, *spread), workers=workers) as runner:
        tasks = [Task(scene=k, sequence=sequence, limits=_limits(shot)) for k, shot in enumerate(shots)]
        runs = runner.run(tasks, each=lambda done: tell(done / most))
        failures = [first_failure(shot, sequence, network, run) for shot, run in zip(shots, runs, strict=True)]
        judged = [
            judge_gel(shot, clock, network, run) for shot, clock, run in zip(shots, clocks, runs, strict=True)
        ]
        to_go_on = [k for k in range(len(runs)) if failures[k] is None and judged[k].margin_s >= 0]
        more = [
            Task(scene=len(shots) + len(SPREADS) * k + j, sequence=sequence, limits=_limits(shots[k]))
            for k in to_go_on
            for j in range(len(SPREADS))
        ]
        spread_runs = runner.run(more, each=lambda done: tell((len(shots) + done) / most))
    by_shot = {k: spread_runs[len(SPREADS) * at :][: len(SPREADS)] for at, k in enumerate(to_go_on)}
    return [
        _front(shot, network, run, failures[k], by_shot.get(k, []), judged[k].limit_s)
        for k, (shot, run) in enumerate(zip(shots, runs, strict=True))
    ]


def _front(
    shot: Shot, network: FlowNetwork, run: FillRun, failure: str | None, spread: list[FillRun], limit_s: float
) -> Front:
    in_spread = (said(locked(one, IN_SPREAD)) for one in spread)
    return Front(
        way=Way.FULL_RUN,
        wet_out_s=run.wet_out_s,
        latest_wet_out_s=max((one.wet_out_s for one in spread), default=None),
        failure=failure or next((each for each in in_spread if each is not None), None),
        resin_kg=resin_quantities(
            shot, network, float(run.vent_drawn_m3.sum()), swollen_m3=swollen_m3(network, run)
        ).total_kg,
        network_runs=1 + len(spread),
        gel_limit_s=limit_s if shot.process.gel_rule is GelRule.EACH_PLACE else None,
    )


def _limits(shot: Shot) -> FillLimits:
    return limits_of(shot, gel_time_of(shot))
