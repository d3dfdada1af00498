"""Plan a shot, or check a sequence of it: the whole way from the part to a verified answer."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import networkx as nx

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import RunCarrier, Runner, Task
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import Zones
from optimiser.one_blas_thread import one_blas_thread
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Shot
from optimiser.plan.change_the_best import open_sooner
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.clamp_sooner import clamp_sooner_where_a_pot_runs_over
from optimiser.plan.conflict import admissible
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.graph_proof import network_agrees
from optimiser.plan.last_resorts import last_resort
from optimiser.plan.least_harm import Play
from optimiser.plan.line_arrivals import supplied_s
from optimiser.plan.merit import rank
from optimiser.plan.most_robust import in_all, most_robust
from optimiser.plan.never_turned import without_idle_taps
from optimiser.plan.part_way import part_way, worth_share
from optimiser.plan.patience import Patience
from optimiser.plan.play_mistakes import MistakePlayer, PlayedMistakes
from optimiser.plan.result import Candidate, Effort, GraphProof, PlanResult, Progress, Tried, Verified
from optimiser.plan.rules_of_taps import broken_rule
from optimiser.plan.say_more import say_more
from optimiser.plan.scenes import FULL, Scenes, scenes_of
from optimiser.plan.search import search
from optimiser.plan.sight_first import by_sight_where_time_allows
from optimiser.plan.verify import on_full, verify, with_spread
from optimiser.sequencing.triggers import idle_vents

Listener = Callable[[Progress], None]

_BEFORE_MISTAKES = 0.75
"""Share of a job that is over when single mistakes are begun, where they are played."""
_MOST_PART_WAY = 2
"""Sequences whose taps do not wait until all is wet, on the full network: the fastest that holds is taken."""


@one_blas_thread
def plan_shot(
    shot: Shot,
    *,
    listen: Listener | None = None,
    workers: int | None = None,
    carrier: RunCarrier | None = None,
    patience: Patience | None = None,
) -> PlanResult:
    """Choose the sequence and verify it on the full network and with the stated spread of permeability.

    Candidates come from the rules a lead would follow, from the user, and from the zone graph; the network has the
    last word. The answer is never worse than any rule or user sequence that is clean; where variations are asked for
    it may be slower by the stated share, and is then clean in more of them. Network runs are carried by
    `workers` processes of this machine, by default one for each core, or by the carrier, which stays open. When
    patience ends, the best sequence so far is verified and all that could still be said of it is left out.
    """
    patience = patience or Patience()
    tell = _teller(listen)
    tell("reducing the part", 0.0, None)
    scenes = scenes_of(shot)
    asked, tick_s = shot.search.mistakes is not False, shot.search.tick_s
    tell_all, tell = tell, _share_of(tell, _BEFORE_MISTAKES if asked else 1.0)
    with Runner(scenes.all, workers=workers, carrier=carrier) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=tell, patience=patience)
        proof = search(chooser)
        chosen, verified = verify(chooser, tell)
        if not admissible(chooser, chosen):
            chosen, verified = last_resort(chooser, chosen, verified, tell)
        if not admissible(chooser, chosen):
            chosen, verified = _sooner_if_it_helps(chooser, chosen, verified, tell)
        fastest, chosen = chosen, by_sight_where_time_allows(chooser, chosen, verified, tell, 0.95)
        by_clock_s = None if chosen is fastest else fastest.run.wet_out_s
        chosen = _part_way_if_it_holds(chooser, chosen, verified, tell)
        chosen = clamp_sooner_where_a_pot_runs_over(chooser, chosen, verified, tell, 0.95)
        chosen = without_idle_taps(chooser, chosen, verified, tell, 0.95)
        said = say_more(
            chooser,
            chosen,
            verified,
            _or_enough(tell, patience),
            _mistakes(chooser, _or_enough(tell_all, patience)) if asked else None,
        )
        chosen, open_run = said.chosen, said.open_run
        tell_all("writing the plan", 0.99, chosen.run.wet_out_s)
        zones = chooser.zones_on_full
        return PlanResult(
            scenes=scenes,
            zones=zones,
            graph=_graph_on_full(shot, scenes, zones, chosen.sequence),
            chosen=chosen,
            proof=replace(
                proof,
                agreed=by_clock_s is None and said.agreed and network_agrees(proof, chooser.best(), tick_s=tick_s),
                played_s=_on_coarse_s(chooser, chosen.sequence),
            ),
            by_clock_s=by_clock_s,
            tried=_tried(chooser, verified, said.usual),
            usual_rules=said.usual,
            bound_s=_bound_s(shot, scenes, open_run),
            mistakes=said.mistakes,
            effort=Effort(network_runs=runner.runs, front_steps=runner.front_steps, solves=runner.solves),
            robustness=said.robustness,
            conflict=said.conflict,
            layout=said.layout,
            cut_short=patience.why if patience.cut_short else None,
        )


def _bound_s(shot: Shot, scenes: Scenes, open_run: FillRun | None) -> float | None:
    """Two lower bounds: all lines at once without a cap, and what the cap takes to give what the sheet holds."""
    if open_run is None or not math.isfinite(open_run.wet_out_s):
        return None
    return max(open_run.wet_out_s, supplied_s(shot, scenes.full))


@one_blas_thread
def check_shot(
    shot: Shot,
    sequence: Sequence,
    *,
    listen: Listener | None = None,
    workers: int | None = None,
    carrier: RunCarrier | None = None,
) -> PlanResult:
    """Play a sequence that somebody else wrote; nothing is chosen."""
    tell = _teller(listen)
    tell("reducing the part", 0.0, None)
    scenes = scenes_of(shot)
    with Runner(scenes.all, workers=workers, carrier=carrier) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=tell)
        run = runner.run([Task(scene=FULL, sequence=sequence, limits=chooser.limits)])[0]
        broken = broken_rule(shot, sequence, run)
        given = Verified(name="the given sequence", sequence=sequence, run=run, spread_runs=(), broken=broken)
        chosen = with_spread(chooser, given, _share_of(tell, _BEFORE_MISTAKES if shot.search.mistakes else 1.0))
        decided = most_robust(chooser, chosen, [], tell)
        robustness = None if decided is None else in_all(chooser, decided, tell)
        mistakes = _mistakes(chooser, tell)(chosen) if shot.search.mistakes else None
        zones = chooser.zones_on_full
        return PlanResult(
            scenes=scenes,
            zones=zones,
            graph=_graph_on_full(shot, scenes, zones, sequence),
            chosen=chosen,
            proof=GraphProof(
                zone_count=zones.count,
                outcome=None,
                optimum_s=None,
                agreed=False,
                rounds=(),
                ended_because="a given sequence was checked; nothing was chosen",
            ),
            tried=(_full_line(chosen, ""),),
            usual_rules=(),
            bound_s=None,
            mistakes=mistakes,
            effort=Effort(network_runs=runner.runs, front_steps=runner.front_steps, solves=runner.solves),
            robustness=robustness,
        )


def _teller(listen: Listener | None) -> Report:
    """Tells how far the job is; it never goes back."""
    furthest = 0.0

    def tell(phase: str, fraction: float, best_s: float | None) -> None:
        nonlocal furthest
        furthest = max(furthest, min(fraction, 1.0))
        if listen is not None:
            listen(Progress(phase=phase, fraction=furthest, best_wet_out_s=best_s))

    return tell


def _share_of(tell: Report, share: float) -> Report:
    """Tells of a part of the job that is over at this share of it."""
    return lambda phase, fraction, best_s: tell(phase, share * fraction, best_s)


def _or_enough(tell: Report, patience: Patience) -> Report:
    """Tells, and breaks the work off when patience is over."""

    def told(phase: str, fraction: float, best_s: float | None) -> None:
        patience.check()
        tell(phase, fraction, best_s)

    return told


def _sooner_if_it_helps(
    chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report
) -> tuple[Verified, list[Verified]]:
    """With taps turned before resin is there, where that holds in time or locks less; else all is as before."""
    known = list(chooser.candidates)
    if open_sooner(chooser, chosen.sequence, "opening sooner", 0.75):
        sooner, played = verify(chooser, tell)
        if admissible(chooser, sooner) or sooner.run.locked_pore_m3 < chosen.run.locked_pore_m3:
            return sooner, played
        chooser.candidates[:] = known
    return chosen, verified


def _part_way_if_it_holds(chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report) -> Verified:
    """With taps turned while part of what they wait for is dry, where that wins as much on the full network too and
    holds; what is played for it takes its place among the verified. Else what was chosen."""
    if not chosen.holds or chooser.patience.search_is_over:
        return chosen
    late = chosen.run.wet_out_s > _limit_s(chooser, chosen)
    for sooner in part_way(chooser, chosen, "opening before all is wet", 0.95, late=late)[:_MOST_PART_WAY]:
        played = with_spread(chooser, on_full(chooser, [sooner], chooser.limits, tell, 0.95)[0], tell)
        verified.append(played)
        worth_it = played.run.wet_out_s <= (1 - worth_share(late=late)) * chosen.run.wet_out_s
        if played.holds and worth_it and rank(played) < rank(chosen):
            return played
    return chosen


def _limit_s(chooser: Chooser, chosen: Verified) -> float:
    """By when the last place must be wet."""
    return judge_gel(chooser.shot, chooser.scenes.resin_clock, chooser.scenes.full, chosen.run).limit_s


def _on_coarse_s(chooser: Chooser, sequence: Sequence) -> float | None:
    """Wet-out there; of the best where this one was not played there: close steps in another order."""
    same = (one for one in chooser.candidates if one.sequence == sequence)
    found = next(same, chooser.best())
    return None if found is None else found.run.wet_out_s


def _mistakes(chooser: Chooser, tell: Report) -> Play:
    """Plays those of a sequence that the crew may be given; any other has orders for nobody."""
    player = MistakePlayer(scenes=chooser.scenes, runner=chooser.runner, limits=chooser.limits)
    low, high = _BEFORE_MISTAKES, 0.99

    def play(chosen: Verified, of_steps: frozenset[int] | None = None) -> PlayedMistakes | None:
        if not admissible(chooser, chosen):
            return None
        limit_s, wet_out_s = _limit_s(chooser, chosen), chosen.run.wet_out_s
        return player.play(
            chosen.sequence,
            chosen.run,
            limit_s=limit_s,
            each=lambda share: tell("playing single mistakes", low + (high - low) * share, wet_out_s),
            of_steps=of_steps,
        )

    return play


def _graph_on_full(shot: Shot, scenes: Scenes, zones: Zones, sequence: Sequence) -> nx.Graph:
    """With the vents that this sequence uses."""
    graph = build_zone_graph(
        scenes.full,
        zones,
        pressure_pa=shot.supply.most_pressure_pa - shot.process.vacuum_pa,
        viscosity_pa_s=scenes.viscosity_pa_s,
    )
    idle = idle_vents(sequence)
    for _, data in graph.nodes(data=True):
        data["vents"] -= idle
    return graph


def _tried(chooser: Chooser, verified: list[Verified], usual: tuple[Verified, ...]) -> tuple[Tried, ...]:
    on_full = {one.sequence: one for one in (*verified, *usual)}
    lines = [_full_line(one, _remark(one)) for one in on_full.values()]
    lines += [
        _line(one.name, "coarse", one.sequence, one.run, _coarse_remark(one))
        for one in chooser.candidates
        if one.sequence not in on_full
    ]
    return tuple(lines)


def _remark(one: Verified) -> str:
    if one.broken:
        return one.broken
    if one.broken_in_spread:
        return f"{one.broken_in_spread} with the stated spread of permeability"
    if one.run.clean and one.spread_runs and not one.clean_in_spread:
        return "clean as planned, but locks a region with the stated spread of permeability"
    if one.broken_on_finer:
        return f"{one.broken_on_finer} on cells of half the size"
    if not one.clean_on_finer:
        return "clean as planned, but locks a region on cells of half the size"
    return ""


def _coarse_remark(one: Candidate) -> str:
    if one.broken:
        return one.broken
    if one.run.clean and not one.clean:
        return "clean as planned, but locks a region with patchy permeability"
    return ""


def _full_line(one: Verified, remark: str) -> Tried:
    return _line(one.name, "full", one.sequence, one.run, remark)


def _line(name: str, network: str, sequence: Sequence, run: FillRun, remark: str) -> Tried:
    return Tried(
        name=name,
        network=network,
        clean=run.clean,
        wet_out_s=run.wet_out_s,
        locked_m3=run.locked_pore_m3,
        locks=sum(lock.fails for lock in run.locks),
        tap_actions=len(sequence.steps),
        remark=remark,
    )
