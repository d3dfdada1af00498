"""What the case states of supply, resin, day and crew, in words, to be compared with the shop before planning."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from optimiser.case.case_document import CaseDocument
from optimiser.case.layout_document import RaceTrackDocument
from optimiser.case.process_document import MeteringMachine, Mixes, ProcessDocument, SupplyDocument


def stated_words(document: CaseDocument) -> Iterator[tuple[str, str]]:
    """What it is about, and what is stated; things that the case may leave out and does are named as such."""
    yield from _supply(document.supply)
    resin, process, crew = document.resin, document.process, document.crew
    initiator = resin.initiator
    yield "resin", f"{resin.name}, batch {resin.batch}, {resin.density_kg_m3:g} kg/m3"
    yield (
        "initiator",
        f"{initiator.level_percent:g} % of the resin's weight; the data sheet allows "
        f"{initiator.least_percent:g} to {initiator.most_percent:g} %",
    )
    yield "temperatures", _temperatures(process)
    yield "pressures", f"air {process.ambient_mbar_abs:g} mbar abs, under the bag {process.vacuum_mbar_abs:g} mbar abs"
    yield "age at the first tap", _or_not(process.age_at_first_tap_min, "min", "not counted: the crew takes it off")
    yield "drop test", _drop_test(process)
    hands = f"{crew.hands} at the taps, {crew.seconds_per_action:g} s a tap"
    yield "crew", hands + (f", between {len(crew.manifolds)} manifolds" if crew.manifolds else "")
    yield "rules of the shop", _rules(document)
    yield "gaps", "; ".join(map(_gap, document.race_tracks)) or "none named: none counted"
    yield "bag", _bag(document)


def _supply(supply: SupplyDocument) -> Iterator[tuple[str, str]]:
    if isinstance(supply, MeteringMachine):
        yield "manifold height", f"{supply.manifold_height_mm:g} mm"
        caps = f"{supply.flow_cap_kg_per_min:g} kg/min and {supply.pressure_cap_mbar_abs:g} mbar abs at its outlet"
        yield "caps of the machine", caps
    else:
        yield "height of the resin's surface", f"{supply.surface_height_mm:g} mm"
    if isinstance(supply, Mixes):
        ready = _or_not(supply.minutes_per_mix, "min each", "how long one takes is not stated: not planned")
        yield "mixes", f"{supply.mix_kg:g} kg, {ready}"
    hose = supply.supply_hose
    yield (
        "supply hose",
        "none stated: nothing is lost between container and manifold"
        if hose is None
        else f"{hose.length_mm:g} mm of {hose.bore_mm:g} mm bore",
    )
    yield "manifold", f"holds {supply.manifold_volume_litres:g} litres"


def _temperatures(process: ProcessDocument) -> str:
    now = f"mould {process.mould_temperature_c:g} °C, resin {process.resin_temperature_c:g} °C"
    if not process.temperatures:
        return f"{now}, all through the shot"
    last = process.temperatures[-1]
    return (
        f"{now} at the first tap; {len(process.temperatures)} rows, the last at min {last.at_min:g}: mould "
        f"{last.mould_temperature_c:g} °C, resin {last.resin_temperature_c:g} °C"
    )


def _drop_test(process: ProcessDocument) -> str:
    test = process.drop_test
    if test is None:
        return "no limit stated"
    limit = f"at most {test.most_rise_mbar:g} mbar in {test.minutes:g} min"
    return limit if test.bag_litres is None else f"{limit}, {test.bag_litres:g} litres of air under the bag"


def _rules(document: CaseDocument) -> str:
    rules = document.rules
    said = [
        *([f"start {', '.join(rules.start)}"] if rules.start else []),
        *([f"order {', '.join(rules.order)}"] if rules.order else []),
        *(f"never at once {' and '.join(pair)}" for pair in rules.never_at_once),
        *(f"together {', '.join(group)}" for group in rules.together),
        *(f"{row.label} by min {row.latest_min:g}" for row in rules.latest),
        *(["a sequence of the shop's own"] if rules.own_sequence is not None else []),
    ]
    return "; ".join(said) or "none"


def _gap(gap: RaceTrackDocument) -> str:
    length_mm = sum(math.dist(one, then) for one, then in pairwise(gap.run_mm))
    return f"{gap.name} {length_mm:.0f} mm long, {gap.width_mm:g} wide, {gap.depth_mm:g} deep"


def _bag(document: CaseDocument) -> str:
    gives = [name for name, laminate in document.laminates.items() if laminate.compaction is not None]
    return f"gives over {', '.join(gives)}; rigid elsewhere" if gives else "rigid: thickness as stated, wet or dry"


def _or_not(value: float | None, unit: str, otherwise: str) -> str:
    return otherwise if value is None else f"{value:g} {unit}"
