"""What the printed sheet states and the runs now say otherwise."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from optimiser.case.assumed import NO_BATCH
from optimiser.case.change_document import ChangeDocument
from optimiser.case.printed_minutes import limit_min, wet_out_min
from optimiser.filling.fill_run import FillRun
from optimiser.part.resin import Resin
from optimiser.revalidation.answer import has_moved
from optimiser.revalidation.facts import Facts
from optimiser.units import min_from_s

_MOST_NAMED = 3
_SAME = 1e-9
"""Relative: only rounding lies between."""


def moved_on_sheet(facts: Facts, resin: Resin, run: FillRun, spread: list[FillRun]) -> tuple[str, ...]:
    """In words, the first few times that have moved, then kilograms; gel aside."""
    moved = list(_moved_times(facts, run, spread))
    more = len(moved) - _MOST_NAMED
    times = [*moved[:_MOST_NAMED], f"{more} more times move"] if more > 0 else moved
    return (*times, *changed_quantities(facts, resin.density_kg_m3, 100.0 * resin.initiator_fraction))


def changed_conditions(facts: Facts, change: ChangeDocument) -> tuple[str, ...]:
    """What the crew compares with the morning and would find otherwise: a sheet that differs is not to be used."""
    said = []
    if change.resin is not None:
        for what, before, now in (
            ("resin", facts.resin.name, change.resin.name),
            ("batch", facts.resin.batch, change.resin.batch),
        ):
            if now == NO_BATCH != before:
                said.append(f"the sheet states {what} {before}, and now none is stated")
            elif now != before:
                said.append(f"the sheet states {what} {before} and not {now}")
    for what, unit, number, new in (
        ("the mould", "degrees C", facts.mould_temperature_c, change.mould_temperature_c),
        ("the resin", "degrees C", facts.resin_temperature_c, change.resin_temperature_c),
        ("ambient", "mbar", facts.ambient_mbar_abs, change.ambient_mbar_abs),
        ("the vacuum", "mbar", facts.vacuum_mbar_abs, change.vacuum_mbar_abs),
    ):
        if new is not None and new != number:
            said.append(f"the sheet states {what} at {number:g} and not at {new:g} {unit}")
    return tuple(said)


def changed_quantities(facts: Facts, density_kg_m3: float, initiator_percent: float) -> tuple[str, ...]:
    """Kilograms on the sheet that are no longer so."""
    said = []
    before = facts.resin.initiator.level_percent
    if not math.isclose(initiator_percent, before, rel_tol=_SAME):
        said.append(f"the initiator level goes from {before:g} to {initiator_percent:g} %")
    if not math.isclose(density_kg_m3, facts.resin.density_kg_m3, rel_tol=_SAME):
        said.append(f"the density goes from {facts.resin.density_kg_m3:g} to {density_kg_m3:g} kg/m3")
    return tuple(said)


def _moved_times(facts: Facts, run: FillRun, spread: list[FillRun]) -> Iterator[str]:
    yield from _moved("wet-out", facts.wet_out_s, run.wet_out_s, wet_out_min)
    if spread:
        wet_s = [one.wet_out_s for one in spread]
        yield from _moved("the soonest wet-out", facts.spread_wet_out_s[0], min(wet_s), limit_min)
        yield from _moved("the latest wet-out", facts.spread_wet_out_s[1], max(wet_s), wet_out_min)
    for index, step in enumerate(facts.steps):
        nominal_s, *spread_s = (_done_s(one, index) for one in (run, *spread))
        yield from _moved(step.label, step.expected_at_s, nominal_s)
        if spread_s:
            whole = math.isfinite(max(nominal_s, *spread_s))
            yield from _moved(
                f"{step.label} at the soonest",
                step.earliest_s,
                min(nominal_s, *spread_s) if whole else math.inf,
                limit_min,
            )
            yield from _moved(
                f"{step.label} at the latest",
                step.latest_s,
                max(nominal_s, *spread_s) if whole else math.inf,
                wet_out_min,
            )


def _done_s(run: FillRun, index: int) -> float:
    return next((one.done_s for one in run.steps if one.index == index), math.inf)


def _moved(
    name: str, before_s: float | None, after_s: float, printed: Callable[[float], float | None] = min_from_s
) -> Iterator[str]:
    if before_s is None and math.isinf(after_s):
        return
    if before_s is None:
        yield f"{name} now comes at minute {printed(after_s):.1f}"
    elif math.isinf(after_s):
        yield f"{name} no longer comes"
    elif has_moved(before_s, after_s):
        yield f"{name} moves from minute {printed(before_s):.1f} to {printed(after_s):.1f}"
