"""What the case states of supply, resin, day and crew, in words, to be compared with the shop before planning."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import CompactionDocument
from optimiser.case.layout_document import RaceTrackDocument
from optimiser.case.process_document import MeteringMachine, Mixes, OpenContainer, ProcessDocument, SupplyDocument
from optimiser.case.resin_document import ResinDocument
from optimiser.case.rules_in_words import rules_in_words
from optimiser.case.scatter_words import scatter_words


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
    yield "viscosity when fresh", "; ".join(
        f"{point.viscosity_mpa_s:g} mPa s at {point.temperature_c:g} °C" for point in resin.viscosity_points
    )
    yield "gel times", "; ".join(
        f"{point.gel_time_min:g} min at {point.temperature_c:g} °C with {point.initiator_percent:g} %"
        for point in resin.gel_time_points
    )
    yield "thickening", _thickening(resin)
    yield "temperatures", _temperatures(process)
    yield "pressures", f"air {process.ambient_mbar_abs:g} mbar abs, under the bag {process.vacuum_mbar_abs:g} mbar abs"
    yield "age at the first tap", _or_not(process.age_at_first_tap_min, "min", "not counted: the crew takes it off")
    yield "gel limit", _gel_limit(process)
    yield "drop test", _drop_test(process)
    yield "pump", _or_not(
        None if process.drop_test is None else process.drop_test.pump_m3_per_h,
        "m3/h at the pressure under the bag",
        "not stated: whether it holds the vacuum against a leak is not judged",
    )
    yield "reserve", f"{process.reserve_percent:g} % of the resin"
    yield "drums", _or_not(process.drum_kg, "kg each", "not stated: not counted")
    yield "permeability", _spread(process)
    yield "variations of the day", scatter_words(document)
    yield "locked air", f"fails a sequence from {process.smallest_lock_cm2:g} cm2"
    hands = f"{crew.hands} at the taps, {crew.seconds_per_action:g} s a tap"
    yield "crew", hands + (f", between {len(crew.manifolds)} manifolds" if crew.manifolds else "")
    yield "rules of the shop", "; ".join(rules_in_words(document.rules)) or "none"
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
    if not isinstance(supply, OpenContainer):
        bled = "into a flush pot under vacuum before each later tap"
        yield "hose and manifold", bled if supply.bled_before_each_tap else "not bled before later taps"
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
    rows = (
        f"min {row.at_min:g} mould {row.mould_temperature_c:g}, resin {row.resin_temperature_c:g}"
        for row in process.temperatures
    )
    return f"{now} at the first tap; {'; '.join(rows)}"


def _thickening(resin: ResinDocument) -> str:
    if (table := resin.viscosity_with_age) is not None:
        rows = (f"{point.viscosity_mpa_s:g} mPa s at {point.age_min:g} min" for point in table.points)
        return f"by test at {table.temperature_c:g} °C with {table.initiator_percent:g} %: {'; '.join(rows)}"
    fitted = resin.thickening_law or resin.cure_law
    if fitted is None:
        return "not stated: taken as thin as fresh all through"
    law = "a law of age" if resin.thickening_law is not None else "a law of cure"
    return f"{law}, fitted with {fitted.initiator_percent:g} %, up to {fitted.fitted_to_mpa_s:g} mPa s"


def _gel_limit(process: ProcessDocument) -> str:
    whose = {None: "the oldest resin", "oldest_resin": "the oldest resin", "each_place": "the resin at each place"}
    return f"{process.gel_fraction_percent:g} % of the gel time, by the age of {whose[process.gel_judged_by]}"


def _spread(process: ProcessDocument) -> str:
    return (
        f"may be off by {process.permeability_spread_percent:g} % all over, and by "
        f"{process.permeability_patchy_percent:g} % from place to place"
    )


def _drop_test(process: ProcessDocument) -> str:
    test = process.drop_test
    if test is None:
        return "no limit stated"
    limit = f"at most {test.most_rise_mbar:g} mbar in {test.minutes:g} min"
    if test.bag_litres is None:
        return f"{limit}; air under the bag not stated: what leaks in is not judged"
    return f"{limit}, {test.bag_litres:g} litres of air under the bag"


def _gap(gap: RaceTrackDocument) -> str:
    length_mm = sum(math.dist(one, then) for one, then in pairwise(gap.run_mm))
    return f"{gap.name} {length_mm:.0f} mm long, {gap.width_mm:g} wide, {gap.depth_mm:g} deep"


def _bag(document: CaseDocument) -> str:
    gives = [
        _gives(name, laminate.compaction)
        for name, laminate in document.laminates.items()
        if laminate.compaction is not None
    ]
    return f"gives over {'; '.join(gives)}; rigid elsewhere" if gives else "rigid: thickness as stated, wet or dry"


def _gives(name: str, law: CompactionDocument) -> str:
    at = "the dry stack's pressure" if law.stated_at_mbar is None else f"{law.stated_at_mbar:g} mbar"
    return (
        f"{name} (exponent {law.stiffening_exponent:g}, at least {law.least_fibre_volume_percent:g} % fibre, as stated "
        f"at {at})"
    )


def _or_not(value: float | None, unit: str, otherwise: str) -> str:
    return otherwise if value is None else f"{value:g} {unit}"
