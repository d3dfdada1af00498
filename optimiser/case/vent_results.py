"""What each vent drew, where it went, and what its line takes of the vacuum."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optimiser.case.amounts_document import VentResult
from optimiser.case.plan_document import Reason
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.part import Vent
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot
from optimiser.physics.vacuum import air_pressure_fall_pa
from optimiser.plan.catch_pots import in_pot_m3, line_and_hose_m3, tubes_m
from optimiser.units import litres_from_m3, mbar_from_pa

NO_POT_RUNS_OVER = "no catch pot runs over into the pump"
_MOST_FOR_AIR = 0.1
"""Of the driving pressure, our choice: fronts behind such a vent would be a tenth slower than they were played."""


def vent_results(shot: Shot, network: FlowNetwork, run: FillRun) -> list[VentResult]:
    """One for each vent, in the order of the part."""
    return [_vent(shot, network, run, index, vent) for index, vent in enumerate(shot.part.vents)]


def pots_overflow(vents: list[VentResult]) -> Iterator[Reason]:
    """Resin in the pump ends the vacuum, which the run counts with to its end. One reason for all of them."""
    over = [vent for vent in vents if vent.in_catch_pot_litres > vent.catch_pot_litres]
    if over:
        drawn = (f"{_up(vent.in_catch_pot_litres):.2f} litres into a pot of {vent.catch_pot_litres:g}" for vent in over)
        yield Reason(
            requirement=NO_POT_RUNS_OVER,
            where=_listed(over),
            by_how_much="; ".join(drawn),
            remedy="clamp sooner, take a larger pot, or close the gap through which it draws",
        )


def vents_choke(shot: Shot, vents: list[VentResult]) -> Iterator[Reason]:
    """Runs take vents for full vacuum while air goes through them, so this much must not be needed to drive it out. One
    reason for all of them."""
    driving_mbar = mbar_from_pa(shot.supply.most_pressure_pa - shot.process.vacuum_pa)
    choking = [vent for vent in vents if vent.air_mbar > _MOST_FOR_AIR * driving_mbar]
    if choking:
        worst = max(choking, key=lambda vent: vent.air_mbar)
        yield Reason(
            requirement="vent lines and their hoses carry the air that resin drives out",
            where=_listed(choking),
            by_how_much=f"{'its far end' if len(choking) == 1 else f'the far end of {worst.label}'} would stand "
            f"{min(worst.air_mbar, driving_mbar):.0f} mbar above the pot, of {driving_mbar:.0f} that drive the resin",
            remedy="give line and hose more bore, or less length",
        )


def flooded_vents(vents: list[VentResult]) -> Iterator[str]:
    """Vents that stood full of resin before they were clamped."""
    for vent in vents:
        if vent.far_end_mbar_abs is not None:
            yield (
                f"vent {vent.label} stands full of resin before it is clamped: its far end then has "
                f"{vent.far_end_mbar_abs:.0f} mbar absolute and drains nothing; give line and hose more bore, or clamp "
                "it sooner"
            )


def never_clamped(shot: Shot, sequence: Sequence, run: FillRun) -> Iterator[str]:
    """Vents that no step clamps, with what runs through them once all is wet."""
    clamped = {step.label for step in sequence.steps if step.action is Action.CLAMP}
    left = [vent.label for vent in shot.part.vents if vent.label not in clamped and vent.on_line is None]
    if left and run.runs_on is not None and math.isinf(run.runs_on.until_s):
        flow_kg_min = 60 * run.runs_on.flow_m3_s * shot.resin.density_kg_m3
        yield (
            f"no step clamps {', '.join(left)}: after wet-out resin runs on into the pots, {flow_kg_min:.2g} kg/min at "
            "first, until the pot, the resin or gel ends it; that is in no quantity of this plan. Give each vent a step"
        )


def _vent(shot: Shot, network: FlowNetwork, run: FillRun, index: int, vent: Vent) -> VentResult:
    flooded_s, far_end_pa = _flooded(network, run, index)
    return VentResult(
        label=vent.label,
        drawn_litres=litres_from_m3(float(run.vent_drawn_m3[index])),
        line_and_hose_litres=litres_from_m3(line_and_hose_m3(vent)),
        catch_pot_litres=litres_from_m3(vent.catch_pot_m3),
        in_catch_pot_litres=litres_from_m3(in_pot_m3(vent, run, index)),
        air_mbar=mbar_from_pa(_air_fall_pa(shot, run, vent)),
        flooded_at_s=flooded_s,
        far_end_mbar_abs=None if far_end_pa is None else mbar_from_pa(shot.process.vacuum_pa + far_end_pa),
    )


def _air_fall_pa(shot: Shot, run: FillRun, vent: Vent) -> float:
    """Along each as if it stood at the vacuum itself, which is no less than it is."""
    fastest_m3_s = float(run.history.flow_m3_s.max())
    pressure_pa = shot.process.vacuum_pa
    return sum(
        air_pressure_fall_pa(bore_m=bore_m, length_m=length_m, flow_m3_s=fastest_m3_s, pressure_pa=pressure_pa)
        for bore_m, length_m in tubes_m(vent).items()
    )


def _flooded(network: FlowNetwork, run: FillRun, index: int) -> tuple[float | None, float | None]:
    """When line and hose were full, and the most that the far end had from then until the vent was clamped."""
    vent = network.vents[index]
    if vent.pipe is None:
        return None, None
    full_s = float(run.arrival_s[[*vent.pipe.nodes, vent.pipe.hose_node]].max())
    clamped_s = min((one.done_s for one in run.steps if one.step.label == vent.label), default=np.inf)
    time_s = run.history.time_s
    open_and_full = (time_s > full_s) & (time_s <= clamped_s)
    if not open_and_full.any():
        return None, None
    return full_s, max(0.0, float(run.history.vent_pressure_pa[open_and_full, index].max()))


def _listed(vents: list[VentResult]) -> str:
    return ", ".join(f"vent {vent.label}" for vent in vents)


def _up(litres: float) -> float:
    """To two decimals: what a pot does not hold never reads as what it holds."""
    return math.ceil(round(100 * litres, 6)) / 100
