"""How far the case says that the day may be off, in words, to be compared with the shop before planning."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.scatter_document import ScatterDocument


def scatter_words(document: CaseDocument) -> str:
    """What is stated; what is taken for the rest stands among the assumptions."""
    scenarios, stated = document.search.scenarios, document.process.scatter
    played = "none asked for" if scenarios is None else f"{scenarios} played"
    said = [] if stated is None else list(_stated(stated))
    return "; ".join([played, *said])


def _stated(scatter: ScatterDocument) -> Iterator[str]:
    for row in scatter.laminates:
        yield f"permeability of {row.laminate} {row.variation_percent:g} %"
    for value, says in (
        (scatter.temperature_plus_minus_c, "{:g} °C colder or warmer"),
        (scatter.gel_time_spread_percent, "gel time {:g} %"),
        (scatter.vacuum_plus_minus_mbar, "{:g} mbar more or less under the bag"),
        (scatter.late_up_to_s, "crew up to {:g} s late on each action"),
        (scatter.gap_width_spread_percent, "width of gaps {:g} %"),
    ):
        if value is not None:
            yield says.format(value)
    for gap in scatter.may_race:
        yield f"gap {gap.name}, {gap.width_mm:g} mm wide, in {gap.chance_percent:g} of 100 shots"
