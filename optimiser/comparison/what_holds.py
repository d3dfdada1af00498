"""What the two plans hold for: resin, shop and crew, feed lines and vents."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.plan_document import Conditions, LineResult, PlanDocument
from optimiser.comparison.comparison_document import Amount, Words
from optimiser.comparison.numbers import amount, words
from optimiser.units import min_from_s


def conditions(a: PlanDocument, b: PlanDocument) -> list[Amount | Words]:
    """In the order in which they are read off in the morning."""
    x, y = a.conditions, b.conditions
    return [
        *words("resin", x.resin, y.resin),
        *words("batch", x.batch, y.batch),
        *amount("viscosity", "mPa s", x.viscosity_mpa_s, y.viscosity_mpa_s, digits=0),
        *amount("density", "kg/m3", x.resin_density_kg_per_m3, y.resin_density_kg_per_m3, digits=0),
        *amount("mould", "degrees C", x.mould_temperature_c, y.mould_temperature_c, digits=1),
        *amount("resin temperature", "degrees C", x.resin_temperature_c, y.resin_temperature_c, digits=1),
        *amount("initiator", "percent", x.initiator_percent, y.initiator_percent, digits=2),
        *amount("initiator, least", "percent", x.initiator_range_percent[0], y.initiator_range_percent[0], digits=2),
        *amount("initiator, most", "percent", x.initiator_range_percent[1], y.initiator_range_percent[1], digits=2),
        *amount("gel time", "min", min_from_s(x.gel_time_s), min_from_s(y.gel_time_s), digits=1),
        *amount("share of the gel time", "percent", 100 * x.gel_fraction, 100 * y.gel_fraction, digits=0),
        *amount("air pressure", "mbar", x.ambient_mbar_abs, y.ambient_mbar_abs, digits=0),
        *amount("pressure under the bag", "mbar", x.vacuum_mbar_abs, y.vacuum_mbar_abs, digits=1),
        *amount("humidity", "percent", x.humidity_percent, y.humidity_percent, digits=0),
        *words("supply", x.supply, y.supply),
        *amount("flow cap", "kg/min", x.flow_cap_kg_per_min, y.flow_cap_kg_per_min, digits=2),
        *amount("pressure cap", "mbar", x.pressure_cap_mbar_abs, y.pressure_cap_mbar_abs, digits=0),
        *amount("one mix", "kg", x.mix_kg, y.mix_kg, digits=1),
        *amount("people at the taps", "", x.hands, y.hands, digits=0),
        *words("where they stand at the start", _standing(x), _standing(y)),
        *amount("time for one tap", "s", x.seconds_per_action, y.seconds_per_action, digits=0),
        *amount("drop test, most rise", "mbar", x.drop_test_most_mbar, y.drop_test_most_mbar, digits=1),
        *amount("drop test", "min", x.drop_test_min, y.drop_test_min, digits=0),
        *amount(
            "spread of permeability", "percent", a.permeability_spread_percent, b.permeability_spread_percent, digits=1
        ),
        *amount(
            "permeability from place to place",
            "percent",
            a.permeability_patchy_percent,
            b.permeability_patchy_percent,
            digits=1,
        ),
    ]


def lines(a: PlanDocument, b: PlanDocument) -> list[Amount | Words]:
    """Sections that only one has, and others in length, bore, hose or use; then vents."""
    x, y = ({line.label: line for line in plan.lines} for plan in (a, b))
    found: list[Amount | Words] = []
    for label in dict.fromkeys([*x, *y]):
        found += _line(label, x.get(label), y.get(label))
    vents_a, vents_b = ([run.label for run in plan.map.runs if run.kind == "vent"] for plan in (a, b))
    for label in dict.fromkeys([*vents_a, *vents_b]):
        found += words(f"vent {label}", _there(label in vents_a), _there(label in vents_b))
    places = [
        {run.label: [(round(p[0]), round(p[1])) for p in run.run_mm] for run in plan.map.runs} for plan in (a, b)
    ]
    for label in places[0].keys() & places[1].keys():
        if places[0][label] != places[1][label]:
            found.append(Words(what=f"where {label} lies", a=_run(places[0][label]), b=_run(places[1][label])))
    return sorted(found, key=lambda one: one.what)


def _line(label: str, a: LineResult | None, b: LineResult | None) -> Iterator[Amount | Words]:
    if a is None or b is None:
        yield from words(f"line {label}", _there(a is not None), _there(b is not None))
        return
    yield from amount(f"line {label}, length", "mm", a.length_mm, b.length_mm, digits=0)
    yield from amount(f"line {label}, bore", "mm", a.bore_mm, b.bore_mm, digits=1)
    yield from amount(f"line {label}, hose", "mm", a.hose_mm, b.hose_mm, digits=0)
    yield from words(f"line {label}, use", a.use, b.use)


def _standing(one: Conditions) -> str | None:
    return ", ".join(one.standing_at) or None


def _there(there: bool) -> str | None:
    return "there" if there else None


def _run(points: list[tuple[int, int]]) -> str:
    return ", ".join(f"({x}, {y})" for x, y in points) + " mm"
