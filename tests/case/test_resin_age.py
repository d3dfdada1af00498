"""A case that follows the resin's age: what is refused, what is taken, and that other cases stay as they were."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.age_at_first_tap import AGE_AT_FIRST_TAP_MIN
from optimiser.case.change_document import changed_case, read_change
from optimiser.case.read_back import read_back
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.case.resin_of_batch import resin_of_batch
from optimiser.case.resin_sheet_document import resin_sheet_from_mapping
from optimiser.errors import InputError
from optimiser.physics.cure_kinetics import kamal_cured_share

TABLE = {
    "temperature_c": 20,
    "initiator_percent": 1.5,
    "points": [
        {"age_min": 0, "viscosity_mpa_s": 250},
        {"age_min": 30, "viscosity_mpa_s": 300},
        {"age_min": 63, "viscosity_mpa_s": 900},
    ],
}
"""Of the demo's resin, which gels in 90 min at 20 C: up to the gel limit of 70 %, no further. Invented."""
LAW = {
    "initiator_percent": 1.5,
    "cure_factor_per_s": 2e5,
    "cure_energy_kj_per_mol": 50,
    "fitted_to_mpa_s": 2000,
}
CURE = {
    "initiator_percent": 1.5,
    "first_factor_per_s": 5e3,
    "first_energy_kj_per_mol": 55,
    "second_factor_per_s": 5e5,
    "second_energy_kj_per_mol": 52,
    "share_exponent": 0.6,
    "rest_exponent": 1.4,
    "gel_share_percent": 35,
    "exponent_at_start": 1.5,
    "exponent_growth": 1,
    "fitted_to_mpa_s": 2000,
}
COURSE = [
    {"at_min": 0, "mould_temperature_c": 20, "resin_temperature_c": 20},
    {"at_min": 60, "mould_temperature_c": 17, "resin_temperature_c": 20},
]


def data(*, resin: dict[str, Any] | None = None, **process: Any) -> dict[str, Any]:
    demo = deepcopy(dict(read_data(demo_case_path("flat_panel"))))  # type: ignore[call-overload]
    demo["search"] = {"cell_mm": 200, "coarse_cell_mm": 200}
    demo["resin"] |= resin or {}
    demo["process"] |= process
    return demo


def case(**changes: Any) -> Case:
    return case_from_mapping(data(**changes))


def faults(**changes: Any) -> dict[str, str]:
    with pytest.raises(InputError) as refused:
        case(**changes)
    return {fault.path: str(fault) for fault in refused.value.faults}


def table(*points: tuple[float, float], **changed: Any) -> dict[str, Any]:
    listed = [{"age_min": age_min, "viscosity_mpa_s": viscosity} for age_min, viscosity in points]
    return {"viscosity_with_age": {**TABLE, "points": listed or TABLE["points"], **changed}}


@pytest.mark.parametrize(
    ("resin", "path", "said"),
    [
        (table((5, 250), (70, 900)), "/points/0/age_min", "expected 0: the fresh resin"),
        (table((0, 250), (40, 300), (40, 900)), "/points/2/age_min", "40 min after 40 min"),
        (table((0, 250), (30, 240), (70, 900)), "/points/1/viscosity_mpa_s", "does not fall with age"),
        (table((0, 2500), (70, 9000)), "/points/0/viscosity_mpa_s", "viscosity_points, 250 mPa s"),
        (table((0, 250), (50, 900)), "/points", "up to the gel limit of this shot, 70% of the gel time: there 63 min"),
        (table(temperature_c=40), "/temperature_c", "a temperature within the other data of the resin"),
        (table(initiator_percent=2.5), "/initiator_percent", "a level the gel times are measured at"),
    ],
)
def test_a_table_that_does_not_fit_is_refused_with_its_reason(resin: dict[str, Any], path: str, said: str) -> None:
    """Nothing is judged beyond the data, and a typing error is no thickening."""
    found = faults(resin=resin)
    assert list(found) == [f"/resin/viscosity_with_age{path}"]
    assert said in found[f"/resin/viscosity_with_age{path}"]


def test_a_table_and_a_law_together_are_refused() -> None:
    """Two words on one thing."""
    assert list(faults(resin={**table(), "thickening_law": LAW})) == ["/resin/thickening_law"]


def test_kinetics_are_followed_like_a_law() -> None:
    """250 mPa s times [0.35 / (0.35 - a)]^(1.5 + a), a cured at minute 63 by the integrator; refused beyond the fit."""
    cured = kamal_cured_share(
        time_s=3780.0,
        temperature_k=293.15,
        first_factor_1_s=5e3,
        first_energy_j_mol=55e3,
        second_factor_1_s=5e5,
        second_energy_j_mol=52e3,
        share_power=0.6,
        rest_power=1.4,
    )
    told = read_back(case(resin={"cure_law": CURE})).viscosity_at_gel_limit_mpa_s
    assert told == pytest.approx(250 * (0.35 / (0.35 - cured)) ** (1.5 + cured), rel=1e-3)
    assert list(faults(resin={"cure_law": {**CURE, "fitted_to_mpa_s": 300}})) == ["/resin/cure_law/fitted_to_mpa_s"]
    assert list(faults(resin={**table(), "cure_law": CURE})) == ["/resin/cure_law"]
    off = faults(resin={"cure_law": {**CURE, "initiator_percent": 2.5}})
    assert list(off) == ["/resin/cure_law/initiator_percent"]


def test_a_law_used_beyond_its_fit_is_refused() -> None:
    """250 mPa s times exp(63 min k exp(-E / RT)) is 635.0045 mPa s at the gel limit, worked out apart."""
    found = faults(resin={"thickening_law": {**LAW, "fitted_to_mpa_s": 600}})
    assert list(found) == ["/resin/thickening_law/fitted_to_mpa_s"]
    assert "636 mPa s" in found["/resin/thickening_law/fitted_to_mpa_s"]
    assert case(resin={"thickening_law": {**LAW, "fitted_to_mpa_s": 640}})


@pytest.mark.parametrize(
    ("rows", "path"),
    [
        ([{**COURSE[0], "at_min": 5}, COURSE[1]], "/0/at_min"),
        ([COURSE[0], {**COURSE[1], "at_min": 90}, {**COURSE[1], "at_min": 80}], "/2/at_min"),
        ([{**COURSE[0], "mould_temperature_c": 21}, COURSE[1]], "/0/mould_temperature_c"),
        ([COURSE[0], {**COURSE[1], "mould_temperature_c": 12}], "/1/mould_temperature_c"),
        ([COURSE[0], {**COURSE[1], "at_min": 40}], ""),
    ],
)
def test_temperatures_that_do_not_fit_are_refused(rows: list[dict[str, float]], path: str) -> None:
    """From the first tap, as it is then, in order, within the resin's data, past the gel limit."""
    assert list(faults(temperatures=rows)) == [f"/process/temperatures{path}"]


def test_a_first_mix_too_old_for_any_shot_is_refused() -> None:
    """70 % of 90 min are gone before the first tap."""
    assert list(faults(age_at_first_tap_min=70)) == ["/process/age_at_first_tap_min"]


def test_each_place_needs_the_minutes_of_a_mix() -> None:
    """Else nobody knows when the initiator went in."""
    mixes = {"kind": "mixes", "mix_kg": 5, "surface_height_mm": -600, "manifold_volume_litres": 0}
    document = {**data(gel_judged_by="each_place"), "supply": mixes}
    with pytest.raises(InputError) as refused:
        case_from_mapping(document)
    assert [fault.path for fault in refused.value.faults] == ["/process/gel_judged_by"]
    assert case_from_mapping({**document, "supply": {**mixes, "minutes_per_mix": 5}})


def test_a_case_that_says_nothing_of_it_keeps_digest_and_clock() -> None:
    """New fields stand in no digest, and no age is taken."""
    plain = case()
    assert plain.digest == case(temperatures=[], age_at_first_tap_min=None, gel_judged_by=None).digest
    assert plain.shot.process.age_at_first_tap_s is None
    assert not [one for one in plain.assumptions if "age_at_first_tap" in one.path]


def test_minutes_before_the_first_tap_are_taken_and_listed_where_something_rests_on_them() -> None:
    """Ten of them, or as long as a mix takes; stated ones are not listed."""
    thick = case(resin=table())
    assert thick.shot.process.age_at_first_tap_s == 60 * AGE_AT_FIRST_TAP_MIN
    (taken,) = [one for one in thick.assumptions if one.path == "/process/age_at_first_tap_min"]
    assert (taken.value, "common practice, no source" in taken.why) == ("10 min", True)
    stated = case(resin=table(), age_at_first_tap_min=4)
    assert stated.shot.process.age_at_first_tap_s == 240
    assert not [one for one in stated.assumptions if "age_at_first_tap" in one.path]


def test_readback_says_how_thick_the_resin_gets_and_from_when_the_limit_counts() -> None:
    """900 mPa s at the end of the table, whose moments lie 12 s apart in the clock; 63 min less ten."""
    told = read_back(case(resin=table()))
    assert told.viscosity_at_gel_limit_mpa_s == pytest.approx(900, rel=3e-3)
    assert (told.gel_limit_min, told.gel_limit_counts_from) == (pytest.approx(53), "the first tap")
    plain = read_back(case())
    assert plain.viscosity_at_gel_limit_mpa_s == pytest.approx(plain.viscosity_mpa_s)
    assert (plain.gel_limit_min, plain.gel_limit_counts_from) == (pytest.approx(63), "initiator in")


SHEET: dict[str, Any] = {
    "schema_version": 1,
    "name": "invented",
    "density_kg_m3": 1080,
    "viscosity_points": [{"temperature_c": 15, "viscosity_mpa_s": 320}, {"temperature_c": 20, "viscosity_mpa_s": 250}],
    "gel_time_points": [
        {"temperature_c": each_c, "initiator_percent": 1.5, "gel_time_min": gel_min}
        for each_c, gel_min in ((15, 128), (20, 90))
    ],
    "initiator": {"least_percent": 1.2, "most_percent": 2},
    "batches": [
        {
            "batch": "B-1",
            "gel_tests": [
                {"tested_at": "2031-04-09T05:40:00Z", "temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 81}
            ],
            "viscosity_tests": [{"tested_at": "2031-04-09T06:00:00Z", "temperature_c": 20, "viscosity_mpa_s": 300}],
        }
    ],
}


def test_the_tests_of_a_batch_move_its_thickening_too() -> None:
    """Gel 81 min for 90: ages by 0.9 and k by 1 / 0.9; viscosity 300 for 250: by 1.2. Worked by hand."""
    tabled, said = resin_of_batch(resin_sheet_from_mapping({**SHEET, **table()}), "B-1", 1.5)
    points = tabled["viscosity_with_age"]["points"]
    assert [point["age_min"] for point in points] == pytest.approx([0, 27, 56.7])
    assert [point["viscosity_mpa_s"] for point in points] == pytest.approx([300, 360, 1080])
    assert said[-1].startswith("how it thickens is moved by the same ratios")
    by_law, _ = resin_of_batch(resin_sheet_from_mapping({**SHEET, "thickening_law": LAW}), "B-1", 1.5)
    assert by_law["thickening_law"]["cure_factor_per_s"] == pytest.approx(2e5 / 0.9)
    assert by_law["thickening_law"]["fitted_to_mpa_s"] == pytest.approx(2400)
    by_cure, _ = resin_of_batch(resin_sheet_from_mapping({**SHEET, "cure_law": CURE}), "B-1", 1.5)
    for name in ("first_factor_per_s", "second_factor_per_s"):
        assert by_cure["cure_law"][name] == pytest.approx(CURE[name] / 0.9)
    assert by_cure["cure_law"]["fitted_to_mpa_s"] == pytest.approx(2400)
    as_it_is, _ = resin_of_batch(resin_sheet_from_mapping({**SHEET, **table()}), None, 1.5)
    assert as_it_is["viscosity_with_age"]["points"] == TABLE["points"]


def test_a_stored_resin_is_refused_as_that_of_a_case_is() -> None:
    """With pointers into its own document."""
    with pytest.raises(InputError) as refused:
        resin_sheet_from_mapping({**SHEET, **table((0, 250), (30, 200))})
    assert [fault.path for fault in refused.value.faults] == ["/viscosity_with_age/points/1/viscosity_mpa_s"]


def test_a_gel_test_moves_the_thickening_of_a_case() -> None:
    """80 min for 90."""
    test = {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 80}
    moved = changed_case(data(resin=table()), read_change({"gel_test": test}))
    assert moved["resin"]["viscosity_with_age"]["points"][2]["age_min"] == pytest.approx(56)


def test_temperatures_over_the_shot_move_with_that_of_the_morning() -> None:
    """Two degrees colder at every moment; the column that does not change stays."""
    moved = changed_case(data(temperatures=COURSE), read_change({"mould_temperature_c": 18}))
    rows = moved["process"]["temperatures"]
    assert [row["mould_temperature_c"] for row in rows] == [18, 15]
    assert [row["resin_temperature_c"] for row in rows] == [20, 20]
    assert case_from_mapping(moved)
