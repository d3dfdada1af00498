"""What is different tonight: read strictly, put into a case, told in words."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.change_document import change_words, changed_case, read_change
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_text import read_data
from optimiser.errors import InputError

DEMO: Any = read_data(demo_case_path("flat_panel"))
GEL_TEST = {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 81}


def refused(data: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_change(data)
    return [fault.path for fault in caught.value.faults]


def test_every_value_lands_where_the_case_has_it() -> None:
    """And the case given stays as it was."""
    values = {
        "mould_temperature_c": 18.0,
        "resin_temperature_c": 21.0,
        "ambient_mbar_abs": 990.0,
        "vacuum_mbar_abs": 30.0,
        "gel_fraction_percent": 60.0,
    }
    before = deepcopy(DEMO)
    data = changed_case(DEMO, read_change({**values, "initiator_level_percent": 1.5}))
    process = case_from_mapping(data).document.process
    assert {field: getattr(process, field) for field in values} == values
    assert before == DEMO
    untouched = set(data) - {"process", "resin"}
    assert all(data[block] == DEMO[block] for block in untouched)


def test_a_gel_test_moves_all_gel_times_through_it() -> None:
    """81 min for 90: times 0.9 (common practice, no source; worked by hand). Viscosity stays."""
    resin = case_from_mapping(changed_case(DEMO, read_change({"gel_test": GEL_TEST}))).document.resin
    assert [point.gel_time_min for point in resin.gel_time_points] == pytest.approx([115.2, 81, 57.6, 41.4])
    assert [point.viscosity_mpa_s for point in resin.viscosity_points] == [320, 250, 200, 160]


def test_a_gel_test_scales_the_new_resin_where_one_is_given() -> None:
    """Resin first, then the test, then the level."""
    resin = deepcopy(DEMO["resin"])
    resin["gel_time_points"] += [
        {"temperature_c": t, "initiator_percent": 2.0, "gel_time_min": g} for t, g in ((15, 100), (20, 60))
    ]
    change = read_change({"resin": resin, "gel_test": GEL_TEST, "initiator_level_percent": 2.0})
    document = case_from_mapping(changed_case(DEMO, change)).document
    assert [point.gel_time_min for point in document.resin.gel_time_points[4:]] == pytest.approx([90, 54])
    assert document.resin.initiator.level_percent == 2.0


def test_a_case_that_leaves_its_batch_out_may_be_changed() -> None:
    """What may be left out of a case may be left out of the case before a change."""
    data = deepcopy(DEMO)
    del data["resin"]["batch"]
    assert case_from_mapping(changed_case(data, read_change({"gel_test": GEL_TEST}))).document.resin.batch


def test_a_change_says_something_and_nothing_unknown() -> None:
    """Strict, each fault with its pointer."""
    assert refused({}) == [""]
    assert refused([]) == [""]
    assert refused({"mould_temperature_c": "18"}) == ["/mould_temperature_c"]
    assert refused({"mold_temperature_c": 18}) == ["/mold_temperature_c"]
    assert refused({"gel_test": {**GEL_TEST, "gel_time_min": 1}}) == ["/gel_test/gel_time_min"]
    level = {"resin": {**DEMO["resin"], "initiator": {**DEMO["resin"]["initiator"], "level_percent": 2.5}}}
    assert set(refused(level)) == {"/resin/initiator/level_percent"}


def test_a_gel_test_that_moves_gel_times_out_of_their_limits_is_named_itself() -> None:
    """46 min at 30 degrees may go down to 2, so 90 min to 90 x 2 / 46 = 3.913; rounding at the limit is no fault."""
    change = read_change({"gel_test": {**GEL_TEST, "gel_time_min": 3}})
    with pytest.raises(InputError) as caught:
        changed_case(DEMO, change)
    (fault,) = caught.value.faults
    assert fault.path == "/gel_test/gel_time_min"
    assert "moves the gel time at 30 degrees C with 1.5 % to 1.53 min" in fault.found
    assert "one from 3.92 to 2025 min" in fault.expected
    for warmest in (21, 46, 47, 49, 53):
        points = [{**point, "initiator_percent": 1.5} for point in DEMO["resin"]["gel_time_points"]]
        points[-1]["gel_time_min"] = warmest
        resin = {**DEMO["resin"], "gel_time_points": points}
        test = {"temperature_c": 30, "initiator_percent": 1.5, "gel_time_min": 2}
        changed_case({**DEMO, "resin": resin}, read_change({"gel_test": test}))


def test_a_gel_test_beyond_the_resin_is_refused() -> None:
    """There is no curve to compare it with."""
    change = read_change({"gel_test": {**GEL_TEST, "temperature_c": 35}})
    with pytest.raises(InputError) as caught:
        changed_case(DEMO, change)
    assert [fault.path for fault in caught.value.faults] == ["/gel_test"]


def test_each_value_has_its_sentence() -> None:
    """So that a report says what was asked."""
    said = change_words(read_change({"gel_test": GEL_TEST, "initiator_level_percent": 1.8, "mould_temperature_c": 18}))
    assert len(said) == 3
    assert "81 min at 20 degrees C with 1.5 % initiator" in said[0]
    assert said[1:] == ["the initiator level is 1.8 %", "the mould is at 18 degrees C"]
    all_said = change_words(
        read_change(
            {
                "resin": DEMO["resin"],
                "resin_temperature_c": 19,
                "ambient_mbar_abs": 990,
                "vacuum_mbar_abs": 30,
                "gel_fraction_percent": 60,
            }
        )
    )
    assert all_said[0] == "the resin is Demo vinyl ester, batch A-117"
    assert len(all_said) == 5
