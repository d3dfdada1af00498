"""The last word on the candidates: played on the full network, with the stated spread of permeability, and on cells of
half the size."""

from __future__ import annotations

from dataclasses import replace

from optimiser.filling.many_runs import Task
from optimiser.filling.simulate import FillLimits
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.coarse_play import MAY_LEAD
from optimiser.plan.merit import Rank, instead, merit, preferred, rank
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.rules_of_taps import broken_in_any, broken_rule
from optimiser.plan.scenes import FULL, SPREADS

_MOST_VERIFIED = 5
"""Leading candidates of the coarse network that are played on the full one."""


def verify(chooser: Chooser, tell: Report) -> tuple[Verified, list[Verified]]:
    """Play the leading candidates on the full network; take the fastest that is clean there and in the spread.

    Those far behind the best on the coarse network are played only if no other holds. What a person would have done
    and did not lead there is then played for as long as it could still be faster, or, where all lock something, could
    lock less: the answer is not to be worse than any of it.
    """
    leading = _leading(chooser.candidates)
    if chooser.patience.search_is_over:
        return _first_that_holds(chooser, leading, tell)
    near = [one for one in leading if _may_lead(chooser, one, leading[0], best_s=leading[0].run.wet_out_s)]
    verified = on_full(chooser, near, chooser.limits, tell, 0.75)
    chosen = _fastest_that_holds(chooser, verified, tell)
    if not chosen.holds and len(near) < len(leading):
        verified += on_full(chooser, [one for one in leading if one not in near], chooser.limits, tell, 0.75)
        chosen = _fastest_that_holds(chooser, verified, tell)
    limits = chooser.limits
    if chosen.holds:
        limits = replace(limits, longest_s=min(limits.longest_s, chosen.run.wet_out_s))
    if chooser.patience.is_over:
        return chosen, verified
    known = {one.sequence for one in verified}
    behind = [one for one in chooser.candidates if _by_a_person(one) and one.sequence not in known]
    if chosen.holds:
        slowest_s = max(leading[0].run.wet_out_s, chosen.run.wet_out_s)  # on the full network it may be the slower
        behind = [one for one in behind if _may_lead(chooser, one, leading[0], best_s=slowest_s)]
    found = on_full(chooser, behind, limits, tell, 0.9)
    ahead = {one.name for one in found if one.clean or (not chosen.clean and _merit(one) < _merit(chosen))}
    if ahead:
        again = [one for one in behind if one.name in ahead]
        verified += on_full(chooser, again, chooser.limits, tell, 0.95)
        chosen = _fastest_that_holds(chooser, verified, tell)
    return chosen, verified


def _may_lead(chooser: Chooser, one: Candidate, best: Candidate, *, best_s: float) -> bool:
    """A clean sequence much slower than best_s may not, unless it is still near enough to be chosen for staying clean
    more often; one that locks a region may be clean on the full network."""
    scatter = chooser.shot.scatter
    most = max(MAY_LEAD, 1 + scatter.near_fraction if scatter else 0.0)
    return not (best.clean and one.run.clean) or one.run.wet_out_s <= most * best_s


def _first_that_holds(
    chooser: Chooser, leading: list[Candidate], tell: Report
) -> tuple[Verified, list[Verified]]:
    """Where there is no time to compare them: the best on the coarse network first, each with the spread."""
    verified: list[Verified] = []
    for one in leading:
        verified += on_full(chooser, [one], chooser.limits, tell, 0.75)
        if verified[-1].clean or one is leading[-1]:
            verified[-1] = with_spread(chooser, verified[-1], tell)
        if verified[-1].holds:
            break
    played = [one for one in verified if one.spread_runs]
    return min([one for one in played if one.holds] or played, key=_merit), verified


def _leading(candidates: list[Candidate]) -> list[Candidate]:
    """The best few on the coarse network, and always the best of the rules by hand among them."""
    ordered = sorted(candidates, key=merit)
    leading = ordered[:_MOST_VERIFIED]
    by_hand = [one for one in ordered if one.name.startswith(("outward", "your own"))]
    return leading + [one for one in by_hand[:2] if one not in leading]


def _by_a_person(candidate: Candidate) -> bool:
    return candidate.name.startswith(("all taps", "outward", "your own"))


def on_full(
    chooser: Chooser, candidates: list[Candidate], limits: FillLimits, tell: Report, fraction: float
) -> list[Verified]:
    """Each as planned, without the spread."""
    tasks = [Task(scene=FULL, sequence=one.sequence, limits=limits) for one in candidates]
    runs = chooser.runner.run(
        tasks, each=lambda done: tell("verifying on the full network", fraction + 0.05 * done / len(tasks), None)
    )
    return [
        Verified(
            name=one.name,
            sequence=one.sequence,
            run=run,
            spread_runs=(),
            broken=broken_rule(chooser.shot, one.sequence, run),
            margin_s=chooser.near[FULL].margin_s(run),
        )
        for one, run in zip(candidates, runs, strict=True)
    ]


def _fastest_that_holds(chooser: Chooser, verified: list[Verified], tell: Report) -> Verified:
    """Go through them, best first, until one is clean in the spread too, and where that goes by the clock one that goes
    by sight and is as fast; if none is, the best of those played so."""
    verified.sort(key=_merit)
    for place, one in enumerate(verified):
        if not one.clean and place > 0:
            break
        if not one.spread_runs:
            verified[place] = with_spread(chooser, one, tell)
        if verified[place].clean_in_spread and verified[place].clean_on_finer:
            break
    fastest = next((one for one in verified if one.holds), None)
    for place, one in enumerate(verified):
        if fastest is not None and instead(one, fastest):
            verified[place] = one if one.spread_runs else with_spread(chooser, one, tell)
            if verified[place].holds:
                break
    played = [one for one in verified if one.spread_runs]
    return preferred(one for one in played if one.holds) or min(played, key=_merit)


def _merit(one: Verified) -> tuple[bool, bool, float, Rank]:
    return (bool(one.broken), not one.run.clean, one.run.locked_pore_m3, rank(one))


def with_spread(chooser: Chooser, one: Verified, tell: Report) -> Verified:
    """The same, played with the stated spread of permeability too, and where it is clean as planned on finer cells."""
    shot, scenes = chooser.shot, chooser.scenes
    finer = scenes.finer if one.clean else None
    places = SPREADS if finer is None else (len(scenes.all), *SPREADS)  # what takes longest begins first
    tasks = [Task(scene=scene, sequence=one.sequence, limits=chooser.limits) for scene in places]
    runs = chooser.runner.run(
        tasks,
        scenes=scenes.all if finer is None else (*scenes.all, finer),
        each=lambda done: tell("playing with the stated spread", 0.85 + 0.1 * done / len(tasks), one.run.wet_out_s),
    )
    on_finer, spread_runs = runs[: -len(SPREADS)], runs[-len(SPREADS) :]
    return replace(
        one,
        spread_runs=tuple(spread_runs),
        broken_in_spread=broken_in_any(shot, one.sequence, spread_runs),
        finer_run=on_finer[0] if on_finer else None,
        broken_on_finer=broken_in_any(shot, one.sequence, on_finer),
    )
