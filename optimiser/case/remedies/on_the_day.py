"""Changes that take no work at the mould: larger catch pots, a higher flow cap."""

from __future__ import annotations

import math
from collections.abc import Iterator

from optimiser.case.process_document import MeteringMachine
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.part.shot import Shot
from optimiser.plan.catch_pots import in_pot_m3, running_over
from optimiser.plan.line_arrivals import supplied_s
from optimiser.plan.result import PlanResult
from optimiser.units import litres_from_m3

_LEAST_MORE, _SURE_MORE = 1.25, 2.0
_ROOM = 1.1
"""Over what would just do: hands and the last bay, which fills by pressure, take as long with any cap."""
_POT_ROOM = 1.25
"""Over what runs into it as played, on the slowest and on the fastest of the stated spread. Our choice."""


def larger_pots(failing: Failing) -> Iterator[Proposal]:
    """In place of all that would run over: no order that clamps sooner was found, so what runs out has to be held."""
    pots = pots_that_hold(failing.shot, failing.result)
    if pots is not None:
        yield pots


def pots_that_hold(shot: Shot, result: PlanResult) -> Proposal | None:
    """None where no pot runs over."""
    part, chosen = shot.part, result.chosen
    over = running_over(part, chosen.run)
    if not over:
        return None
    runs = (chosen.run, *chosen.spread_runs)
    most_m3 = [max(in_pot_m3(vent, run, k) for run in runs) for k, vent in enumerate(part.vents)]
    larger = [
        (k, vent, _pot_litres(_POT_ROOM * litres_from_m3(most_m3[k])))
        for k, vent in enumerate(part.vents)
        if vent.label in over
    ]
    return Proposal(
        effort=Effort.POT,
        change="; ".join(
            f"a catch pot of {_litres(litres)} at vent {vent.label} in place of {litres_from_m3(vent.catch_pot_m3):g}"
            for _, vent, litres in larger
        ),
        edits=tuple(Edit(keys=("vents", k, "catch_pot_litres"), value=litres) for k, _, litres in larger),
    )


def _litres(litres: float) -> str:
    return f"{litres:g} litre{'' if litres == 1 else 's'}"


def _pot_litres(least: float) -> float:
    """Rounded up to what a shop has: half litres, whole ones, fives."""
    step = 0.5 if least < 2 else 1.0 if least < 10 else 5.0
    return math.ceil(round(least / step, 6)) * step


def higher_flow_cap(failing: Failing) -> Iterator[Proposal]:
    """Where the cap of the machine binds."""
    supply = failing.document.supply
    if not failing.late or not isinstance(supply, MeteringMachine) or not failing.result.chosen.run.capped:
        return
    for factor in _factors(failing):
        cap = _rounded_up(supply.flow_cap_kg_per_min * factor)
        yield Proposal(
            effort=Effort.FLOW_CAP,
            change=f"a flow cap of {cap:g} kg/min in place of {supply.flow_cap_kg_per_min:g}, if the machine allows it",
            edits=(Edit(keys=("supply", "flow_cap_kg_per_min"), value=cap),),
        )


def _factors(failing: Failing) -> tuple[float, float, float]:
    """From the least that could do, as by the limit the cap must have given what the sheet holds, to what does if the
    whole shot goes with the cap."""
    played_s = failing.result.chosen.run.wet_out_s
    least = max(_LEAST_MORE, _ROOM * supplied_s(failing.shot, failing.result.scenes.full) / failing.limit_s)
    sure = max(_SURE_MORE, least, _ROOM * played_s / failing.limit_s if math.isfinite(played_s) else 0.0)
    return least, math.sqrt(least * sure), sure


def _rounded_up(cap_kg_per_min: float) -> float:
    """To two digits: what is set on a machine."""
    step = 10.0 ** (math.floor(math.log10(cap_kg_per_min)) - 1)
    return float(f"{math.ceil(round(cap_kg_per_min / step, 6)) * step:.6g}")
