"""Which numbers and texts differ, each at the digits that a person acts on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from optimiser.case.plan_document import PlanDocument
from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min
from optimiser.comparison.comparison_document import Amount, Words
from optimiser.units import min_from_s

Number = float | None
GAP = "what an order on the zone graph may still win"


def times(a: PlanDocument, b: PlanDocument) -> list[Amount]:
    """Minutes rounded as on the sheet: wet-out up, limit down, margin their difference."""
    rows = {
        "wet-out": [wet_out_min(one.wet_out_s) for one in (a, b)],
        "gel limit": [limit_min(one.gel_limit_s) for one in (a, b)],
        "margin before the gel limit": [margin_min(one.gel_limit_s, one.wet_out_s) for one in (a, b)],
        "wet-out at the fast end of the spread": [wet_out_min(one.spread_wet_out_s[0]) for one in (a, b)],
        "wet-out at the slow end of the spread": [wet_out_min(one.spread_wet_out_s[1]) for one in (a, b)],
        GAP: [_gap_min(one) for one in (a, b)],
    }
    return [one for what, (x, y) in rows.items() for one in amount(what, "min", x, y, digits=1)]


def _gap_min(plan: PlanDocument) -> float | None:
    gap_s = plan.proof.graph_gap_s
    return None if gap_s is None else min_from_s(gap_s)


def amounts(a: PlanDocument, b: PlanDocument) -> list[Amount]:
    """Resin and initiator, to the tenth of a kilogram and to the gram; mixes and drums."""
    x, y = a.resin, b.resin
    return [
        *amount("resin in all, as bought", "kg", x.total_kg, y.total_kg, digits=1),
        *amount("initiator", "kg", x.initiator_kg, y.initiator_kg, digits=3),
        *amount("resin in the laminate", "kg", x.laminate_kg, y.laminate_kg, digits=1),
        *amount("resin drawn into the vents", "kg", x.drawn_into_vents_kg, y.drawn_into_vents_kg, digits=1),
        *amount("of that into catch pots", "kg", x.in_catch_pots_kg, y.in_catch_pots_kg, digits=1),
        *amount("mixes", "", x.mixes, y.mixes, digits=0),
        *amount("drums", "", x.drums, y.drums, digits=0),
        *amount("locked", "litres", _locked_litres(a), _locked_litres(b), digits=2),
    ]


def laminates(a: PlanDocument, b: PlanDocument) -> list[Amount]:
    """Area of each laminate by name, to the hundredth of a square metre."""
    x, y = (_laminate_m2(plan) for plan in (a, b))
    names = dict.fromkeys([*x, *y])
    return [one for name in names for one in amount(f"laminate {name}", "m2", x.get(name), y.get(name), digits=2)]


def amount(what: str, unit: str, a: Number, b: Number, *, digits: int) -> Iterator[Amount]:
    """Nothing where both are the same at these digits."""
    x, y = (None if value is None else round(value, digits) for value in (a, b))
    if x != y:
        yield Amount(what=what, unit=unit, a=x, b=y)


def words(what: str, a: str | None, b: str | None) -> Iterator[Words]:
    """Nothing where both say the same."""
    if a != b:
        yield Words(what=what, a=a, b=b)


def _laminate_m2(plan: PlanDocument) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for zone in plan.zones:
        found[zone.laminate] = found.get(zone.laminate, 0.0) + zone.area_m2
    return found


def _locked_litres(plan: PlanDocument) -> float:
    return sum(one.pore_litres for one in plan.locked if one.fails)
