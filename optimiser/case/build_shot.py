"""From a document in shop units to the shot in SI. The document must have passed its checks."""

from __future__ import annotations

from optimiser.case.age_at_first_tap import age_at_first_tap_min
from optimiser.case.assumed import LEAST_LINE_END_PERCENT
from optimiser.case.build_part import part_of
from optimiser.case.case_document import CaseDocument
from optimiser.case.process_document import CrewDocument, Mixes, OpenContainer, SupplyDocument, TemperaturesDocument
from optimiser.case.resin_document import ResinDocument
from optimiser.case.scatter_values import scatter_of
from optimiser.case.sequence_document import sequence_of
from optimiser.part.resin import (
    AgedPoint,
    CureLaw,
    GelPoint,
    MeasuredThickening,
    Resin,
    ThickeningLaw,
    ViscosityPoint,
)
from optimiser.part.shot import (
    Crew,
    GelRule,
    Process,
    Search,
    ShopRules,
    Shot,
    Supply,
    SupplyKind,
    TapPlace,
    Temperatures,
)
from optimiser.physics.pipe_flow import tube_conductance_m3, tube_volume_m3
from optimiser.plan.resin_clock import ResinClock, clock_of_process
from optimiser.units import (
    fraction_from_percent,
    k_from_c,
    m2_from_cm2,
    m3_from_litres,
    m3_s_from_kg_min,
    m_from_mm,
    pa_from_mbar,
    pa_s_from_mpa_s,
    s_from_min,
)


def shot_of(document: CaseDocument) -> Shot:
    return Shot(
        name=document.name,
        part=part_of(document),
        resin=resin_of(document.resin),
        supply=_supply(document),
        process=process_of(document),
        crew=_crew(document.crew),
        rules=_rules(document),
        search=_search(document),
        scatter=scatter_of(document),
    )


def resin_of(resin: ResinDocument) -> Resin:
    return Resin(
        name=resin.name,
        batch=resin.batch,
        density_kg_m3=resin.density_kg_m3,
        viscosity_points=tuple(
            ViscosityPoint(
                temperature_k=k_from_c(point.temperature_c),
                viscosity_pa_s=pa_s_from_mpa_s(point.viscosity_mpa_s),
            )
            for point in resin.viscosity_points
        ),
        gel_points=tuple(
            GelPoint(
                temperature_k=k_from_c(point.temperature_c),
                initiator_fraction=fraction_from_percent(point.initiator_percent),
                gel_time_s=s_from_min(point.gel_time_min),
            )
            for point in resin.gel_time_points
        ),
        initiator_fraction=fraction_from_percent(resin.initiator.level_percent),
        initiator_least_fraction=fraction_from_percent(resin.initiator.least_percent),
        initiator_most_fraction=fraction_from_percent(resin.initiator.most_percent),
        thickening=_thickening(resin),
    )


def _thickening(resin: ResinDocument) -> MeasuredThickening | ThickeningLaw | CureLaw | None:
    table, law, cure = resin.viscosity_with_age, resin.thickening_law, resin.cure_law
    if cure is not None:
        return CureLaw(
            initiator_fraction=fraction_from_percent(cure.initiator_percent),
            first_factor_1_s=cure.first_factor_per_s,
            first_energy_j_mol=cure.first_energy_kj_per_mol * 1e3,
            second_factor_1_s=cure.second_factor_per_s,
            second_energy_j_mol=cure.second_energy_kj_per_mol * 1e3,
            share_power=cure.share_exponent,
            rest_power=cure.rest_exponent,
            gel_share=fraction_from_percent(cure.gel_share_percent),
            power_at_start=cure.exponent_at_start,
            power_growth=cure.exponent_growth,
            fitted_to_pa_s=pa_s_from_mpa_s(cure.fitted_to_mpa_s),
        )
    if table is not None:
        return MeasuredThickening(
            temperature_k=k_from_c(table.temperature_c),
            initiator_fraction=fraction_from_percent(table.initiator_percent),
            points=tuple(
                AgedPoint(age_s=s_from_min(point.age_min), viscosity_pa_s=pa_s_from_mpa_s(point.viscosity_mpa_s))
                for point in table.points
            ),
        )
    if law is None:
        return None
    return ThickeningLaw(
        initiator_fraction=fraction_from_percent(law.initiator_percent),
        cure_factor_1_s=law.cure_factor_per_s,
        cure_energy_j_mol=law.cure_energy_kj_per_mol * 1e3,
        fitted_to_pa_s=pa_s_from_mpa_s(law.fitted_to_mpa_s),
    )


def _supply(document: CaseDocument) -> Supply:
    supply: SupplyDocument = document.supply
    volume_m3 = m3_from_litres(supply.manifold_volume_litres)
    conductance_m3: float | None = None
    if supply.supply_hose is not None:
        bore_m, length_m = m_from_mm(supply.supply_hose.bore_mm), m_from_mm(supply.supply_hose.length_mm)
        conductance_m3 = tube_conductance_m3(bore_m=bore_m, length_m=length_m)
        volume_m3 += tube_volume_m3(bore_m=bore_m, length_m=length_m)
    if isinstance(supply, OpenContainer | Mixes):
        return Supply(
            kind=SupplyKind(supply.kind),
            most_pressure_pa=pa_from_mbar(document.process.ambient_mbar_abs),
            most_flow_m3_s=None,
            height_m=m_from_mm(supply.surface_height_mm),
            manifold_volume_m3=volume_m3,
            mix_kg=supply.mix_kg if isinstance(supply, Mixes) else None,
            mix_s=s_from_min(supply.minutes_per_mix) if isinstance(supply, Mixes) and supply.minutes_per_mix else None,
            hose_conductance_m3=conductance_m3,
            bled_before_each_tap=isinstance(supply, Mixes) and bool(supply.bled_before_each_tap),
        )
    return Supply(
        kind=SupplyKind.METERING_MACHINE,
        most_pressure_pa=pa_from_mbar(supply.pressure_cap_mbar_abs),
        most_flow_m3_s=m3_s_from_kg_min(supply.flow_cap_kg_per_min, document.resin.density_kg_m3),
        height_m=m_from_mm(supply.manifold_height_mm),
        manifold_volume_m3=volume_m3,
        hose_conductance_m3=conductance_m3,
        bled_before_each_tap=bool(supply.bled_before_each_tap),
    )


def process_of(document: CaseDocument) -> Process:
    process, age_min = document.process, age_at_first_tap_min(document)
    return Process(
        ambient_pa=pa_from_mbar(process.ambient_mbar_abs),
        vacuum_pa=pa_from_mbar(process.vacuum_mbar_abs),
        mould_temperature_k=k_from_c(process.mould_temperature_c),
        resin_temperature_k=k_from_c(process.resin_temperature_c),
        room_humidity_fraction=fraction_from_percent(process.humidity_percent),
        gel_fraction=fraction_from_percent(process.gel_fraction_percent),
        smallest_lock_m2=m2_from_cm2(process.smallest_lock_cm2),
        longest_run_m=m_from_mm(process.longest_run_mm),
        permeability_spread_fraction=fraction_from_percent(process.permeability_spread_percent),
        permeability_patchy_fraction=fraction_from_percent(process.permeability_patchy_percent),
        drum_kg=process.drum_kg,
        reserve_fraction=fraction_from_percent(process.reserve_percent),
        least_line_end_fraction=fraction_from_percent(
            LEAST_LINE_END_PERCENT if process.least_line_end_percent is None else process.least_line_end_percent
        ),
        temperatures=temperatures_of(process.temperatures),
        age_at_first_tap_s=None if age_min is None else s_from_min(age_min),
        gel_rule=GelRule(process.gel_judged_by or GelRule.OLDEST_RESIN),
    )


def clock_of_document(document: CaseDocument) -> ResinClock:
    """Of the shot, without building its part. OutOfRangeError beyond the resin's data."""
    return clock_of_process(resin_of(document.resin), process_of(document))


def temperatures_of(rows: tuple[TemperaturesDocument, ...]) -> tuple[Temperatures, ...]:
    return tuple(
        Temperatures(
            at_s=s_from_min(row.at_min),
            mould_k=k_from_c(row.mould_temperature_c),
            resin_k=k_from_c(row.resin_temperature_c),
        )
        for row in rows
    )


def _crew(crew: CrewDocument) -> Crew:
    walk_s = {frozenset(walk.between): walk.walk_s for walk in crew.walks}
    names = [place.name for place in crew.manifolds]
    return Crew(
        hands=crew.hands,
        action_s=crew.seconds_per_action,
        places=tuple(TapPlace(name=place.name, labels=place.labels) for place in crew.manifolds),
        walk_s=tuple(tuple(0.0 if a == b else walk_s[frozenset((a, b))] for b in names) for a in names),
    )


def _rules(document: CaseDocument) -> ShopRules:
    rules = document.rules
    return ShopRules(
        start_labels=rules.start,
        order=rules.order,
        never_at_once=rules.never_at_once,
        together=rules.together,
        latest_s=tuple((one.label, s_from_min(one.latest_min)) for one in rules.latest),
        own_sequence=None if rules.own_sequence is None else sequence_of(rules.own_sequence),
    )


def _search(document: CaseDocument) -> Search:
    search = document.search
    return Search(
        cell_m=m_from_mm(search.cell_mm),
        coarse_cell_m=m_from_mm(search.coarse_cell_mm),
        most_zones=search.most_zones,
        tick_s=search.tick_s,
        rounds=search.rounds,
        seed=search.seed,
        solver_effort=search.solver_effort,
        mistakes=search.mistakes,
    )
