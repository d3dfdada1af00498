"""What is proven, on what, and what the network says."""

from __future__ import annotations

import math

from optimiser.case.finer_words import finer_cells_run
from optimiser.case.printed_minutes import limit_min, wet_out_min
from optimiser.case.proof_document import CandidateResult, LevelUnit, ObjectiveLevel, Proof, ProofStatus, Round
from optimiser.case.usual_rules_words import usual_rules_words
from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.result import GraphLevel, PlanResult, RoundRecord, Tried
from optimiser.sequencing.zone_problem import LevelName, Outcome
from optimiser.units import litres_from_m3


def proof_of(result: PlanResult) -> Proof:
    proof = result.proof
    return Proof(
        status=_status(result),
        statement=_statement(result),
        zone_count=proof.zone_count,
        graph_optimum_s=proof.optimum_s,
        bound_s=result.bound_s,
        rounds=[_round(record) for record in proof.rounds],
        ended_because=proof.ended_because,
        usual_rules=usual_rules_words(result),
        levels=[_level(level) for level in proof.levels] or None,
        graph_gap_s=_graph_gap_s(result),
        network_gap_s=_gap_s(result.chosen.run.wet_out_s, result.bound_s),
        finer_cells=finer_cells_run(result),
    )


_UNITS = {LevelName.TAPS: LevelUnit.TAPS, LevelName.VENTS: LevelUnit.VENTS}


def _level(level: GraphLevel) -> ObjectiveLevel:
    return ObjectiveLevel(
        name=level.name.value,
        unit=_UNITS.get(level.name, LevelUnit.SECONDS),
        value=round(level.value),
        bound=None if level.bound is None else round(level.bound),
        proven=level.value == level.bound,
    )


def _graph_gap_s(result: PlanResult) -> float | None:
    """Of the chosen sequence on the coarse network, as the graph was made from that; rounding may put it before the
    bound. Nothing where the network agrees with the proof."""
    return 0.0 if result.proof.agreed else _gap_s(result.proof.played_s, result.proof.bound_s)


def _gap_s(played_s: float | None, bound_s: float | None) -> float | None:
    wet_out_s = finite(played_s)
    return None if bound_s is None or wet_out_s is None else max(0.0, wet_out_s - bound_s)


def only_checked(result: PlanResult) -> bool:
    """Whether a given sequence was played and nothing was chosen."""
    return result.proof.outcome is None and not result.proof.rounds and result.cut_short is None


def _status(result: PlanResult) -> ProofStatus:
    if only_checked(result):
        return ProofStatus.CHECKED_ONLY
    return ProofStatus.OPTIMAL_ON_ZONE_GRAPH if result.proof.agreed else ProofStatus.BEST_FOUND


def _statement(result: PlanResult) -> str:
    run, proof = result.chosen.run, result.proof
    cells = result.scenes.full.cell_count
    network = f"on the network of {cells} cells the last place is wet at minute {_up(run.wet_out_s)}"
    bound = "" if result.bound_s is None else f"; no sequence can be faster than minute {_down(result.bound_s)}"
    # a bound there is no bound of the network while the cap holds resin back
    apart = " (there each open line may have the whole flow cap)" if run.capped else ""
    match _status(result):
        case ProofStatus.CHECKED_ONLY:
            return f"A given sequence, played as it stands: {network}."
        case ProofStatus.OPTIMAL_ON_ZONE_GRAPH:
            return (
                f"Optimal on the zone graph of {proof.zone_count} zones{apart} with what the network taught it: no "
                f"sequence there is faster than minute {_down(proof.optimum_s)}{_no_more_than_the_graph(result)}; "
                f"{network}{bound}{_by_clock(result)}."
            )
        case ProofStatus.BEST_FOUND:
            graph = (
                "the zone graph's best is not proven"
                if proof.outcome is not Outcome.OPTIMAL or proof.optimum_s is None
                else f"the zone graph of {proof.zone_count} zones{apart} believes in minute {_down(proof.optimum_s)}"
            )
            gap = _gap_words(_graph_gap_s(result), proof.zone_count)
            return f"The best sequence found, not proven best: {graph}; {network}{bound}{gap}{_by_clock(result)}."


def _no_more_than_the_graph(result: PlanResult) -> str:
    """What the graph takes for locking may drain: it knows each line by itself, and waits that were learnt from orders
    that locked."""
    taught = any(record.locked_m3 for record in result.proof.rounds)
    waits = ", and was taught to wait by orders that locked air" if taught else ""
    return f", which keeps margins{waits}: one that opens sooner and drains all the same is not ruled out"


def _by_clock(result: PlanResult) -> str:
    """Of a faster order that was given up for one that goes by sight."""
    faster_s = result.by_clock_s
    if faster_s is None or faster_s >= result.chosen.run.wet_out_s or not goes_by_sight(result.chosen.sequence):
        return ""
    return (
        f"; an order that turns taps by the clock is wet at minute {_up(faster_s)} and was given up: with the time "
        "that is in hand one by sight is worth more"
    )


def _gap_words(gap_s: float | None, zone_count: int) -> str:
    if gap_s is None:
        return ""
    if gap_s == 0:
        return f"; on the zone graph of {zone_count} zones nothing as fast is known"
    return f"; gap to the best possible on the zone graph of {zone_count} zones: {_up(gap_s)} minutes"


def _up(time_s: float | None) -> str:
    """Wet-out, and what is between it and the best possible."""
    return _minutes(wet_out_min(time_s))


def _down(time_s: float | None) -> str:
    """What nothing is faster than."""
    return _minutes(limit_min(time_s))


def _minutes(time_min: float | None) -> str:
    return "-" if time_min is None or not math.isfinite(time_min) else f"{time_min:.1f}"


def _round(record: RoundRecord) -> Round:
    return Round(
        number=record.number,
        graph_wet_out_s=record.graph_wet_out_s,
        solver_status=record.outcome.value,
        network_wet_out_s=finite(record.network_wet_out_s),
        locked_litres=litres_from_m3(record.locked_m3),
        correction=record.correction,
    )


def candidate_of(tried: Tried) -> CandidateResult:
    where = "" if tried.network == "full" else "played on the coarse network only"
    return CandidateResult(
        name=tried.name,
        admissible=tried.clean and not tried.remark,
        wet_out_s=finite(tried.wet_out_s),
        locked_litres=litres_from_m3(tried.locked_m3),
        locked_regions=tried.locks,
        tap_actions=tried.tap_actions,
        remark="; ".join(part for part in (tried.remark, where) if part),
    )


def finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
