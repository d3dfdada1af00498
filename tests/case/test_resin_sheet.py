"""A resin as a shop keeps it: read strictly, and moved through the latest tests of a batch.

That a curve is scaled through the shop's own test is common practice, no source; the numbers are worked by hand.
"""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest

from optimiser.case.resin_of_batch import faults_of_batches, resin_of_batch
from optimiser.case.resin_sheet_document import read_resin_sheet, resin_sheet_from_mapping
from optimiser.errors import InputError

SHEET: dict[str, Any] = {
    "schema_version": 1,
    "name": "Demo vinyl ester",
    "density_kg_m3": 1080,
    "viscosity_points": [
        {"temperature_c": 15, "viscosity_mpa_s": 320},
        {"temperature_c": 20, "viscosity_mpa_s": 250},
        {"temperature_c": 30, "viscosity_mpa_s": 160},
    ],
    "gel_time_points": [
        {"temperature_c": 15, "initiator_percent": 1.5, "gel_time_min": 128},
        {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 90},
        {"temperature_c": 15, "initiator_percent": 2.0, "gel_time_min": 96},
        {"temperature_c": 20, "initiator_percent": 2.0, "gel_time_min": 68},
    ],
    "initiator": {"least_percent": 1.2, "most_percent": 2.0},
    "batches": [
        {"batch": "A-117", "received_on": "2031-03-02"},
        {
            "batch": "B-042",
            "gel_tests": [
                {
                    "tested_at": "2031-04-09T05:40:00Z",
                    "temperature_c": 20,
                    "initiator_percent": 1.5,
                    "gel_time_min": 81,
                },
                {
                    "tested_at": "2031-04-01T05:40:00Z",
                    "temperature_c": 20,
                    "initiator_percent": 1.5,
                    "gel_time_min": 99,
                },
            ],
            "viscosity_tests": [
                {"tested_at": "2031-04-09T06:00:00+00:00", "temperature_c": 20, "viscosity_mpa_s": 300}
            ],
        },
    ],
}


def sheet() -> dict[str, Any]:
    return deepcopy(SHEET)


def faults_of(data: object) -> dict[str, str]:
    with pytest.raises(InputError) as caught:
        resin_sheet_from_mapping(data)
    return {fault.path: str(fault) for fault in caught.value.faults}


def test_the_latest_test_of_a_batch_moves_both_curves() -> None:
    """Gel 81 min for 90: all gel times by 0.9; viscosity 300 for 250: all by 1.2. Worked by hand."""
    block, said = resin_of_batch(resin_sheet_from_mapping(sheet()), "B-042", 1.5)
    assert [point["gel_time_min"] for point in block["gel_time_points"]] == pytest.approx([115.2, 81, 86.4, 61.2])
    assert [point["viscosity_mpa_s"] for point in block["viscosity_points"]] == pytest.approx([384, 300, 192])
    assert block["batch"] == "B-042"
    assert block["initiator"] == {"level_percent": 1.5, "least_percent": 1.2, "most_percent": 2.0}
    assert len(said) == 2
    assert all("common practice, no source" in sentence for sentence in said)
    assert "times 0.9" in said[0]
    assert "times 1.2" in said[1]


def test_a_test_between_points_is_compared_with_the_curve_there() -> None:
    """At the level 1.732 = sqrt(1.5 x 2.0) and 20 degrees C the sheet has sqrt(90 x 68) min (ln-ln law, by hand)."""
    data = sheet()
    data["batches"][1]["gel_tests"] = [
        {
            "tested_at": "2031-04-09T05:40:00Z",
            "temperature_c": 20,
            "initiator_percent": (1.5 * 2.0) ** 0.5,
            "gel_time_min": 0.8 * (90 * 68) ** 0.5,
        }
    ]
    block, _ = resin_of_batch(resin_sheet_from_mapping(data), "B-042", 1.5)
    assert block["gel_time_points"][1]["gel_time_min"] == pytest.approx(0.8 * 90)


@pytest.mark.parametrize("batch", [None, "A-117"])
def test_without_a_test_the_data_sheet_stands_and_that_is_said(batch: str | None) -> None:
    """No batch named, or one without tests: the points as they are, in so many words."""
    block, said = resin_of_batch(resin_sheet_from_mapping(sheet()), batch, 1.5)
    assert block["gel_time_points"] == SHEET["gel_time_points"]
    assert block["viscosity_points"] == SHEET["viscosity_points"]
    assert all("of the data sheet" in sentence for sentence in said)
    assert len(said) == (1 if batch is None else 2)
    assert block.get("batch") == batch


def test_an_unknown_batch_is_refused_by_name() -> None:
    """With what may have been meant."""
    with pytest.raises(InputError) as caught:
        resin_of_batch(resin_sheet_from_mapping(sheet()), "B-43", 1.5)
    assert caught.value.faults[0].path == "/batch"
    assert "B-042" in str(caught.value)


def test_a_level_outside_the_range_of_the_resin_is_refused() -> None:
    """As it would be in a case."""
    with pytest.raises(InputError) as caught:
        resin_of_batch(resin_sheet_from_mapping(sheet()), None, 2.5)
    assert {fault.path for fault in caught.value.faults} == {"/resin/initiator/level_percent"}


def test_a_scaled_value_outside_the_limits_of_a_resin_is_refused() -> None:
    """A test of 3000 mPa s for 250 would make 320 into 3840, which a resin may have, and 4900 into more.

    Whoever names the batch is told of the batch, with the place of the test; the sheet itself of each such test.
    """
    data = sheet()
    data["batches"][1]["viscosity_tests"][0]["viscosity_mpa_s"] = 4900
    data["batches"][1]["gel_tests"][0]["gel_time_min"] = 2
    with pytest.raises(InputError) as caught:
        resin_of_batch(resin_sheet_from_mapping(data), "B-042", 1.5)
    assert {fault.path for fault in caught.value.faults} == {"/batch"}
    tests = ["/batches/1/gel_tests/0", "/batches/1/viscosity_tests/0"]
    assert all(any(test in fault.found for fault in caught.value.faults) for test in tests)
    assert sorted(fault.path for fault in faults_of_batches(resin_sheet_from_mapping(data))) == tests
    assert list(faults_of_batches(resin_sheet_from_mapping(sheet()))) == []


def test_a_test_that_does_not_count_any_more_is_no_fault() -> None:
    """An earlier one, as odd as it may be, scales nothing."""
    data = sheet()
    data["batches"][1]["gel_tests"][1]["gel_time_min"] = 2
    assert list(faults_of_batches(resin_sheet_from_mapping(data))) == []


def test_all_faults_of_a_sheet_are_named_at_once() -> None:
    """Batches told apart by capitals alone, tests beyond the data, levels out of range, two tests at one moment."""
    data = sheet()
    first, second = data["batches"]
    first["batch"] = "b-042"
    second["gel_tests"][0]["initiator_percent"] = 2.5
    second["gel_tests"][1]["temperature_c"] = 30
    second["viscosity_tests"][0]["temperature_c"] = 5
    second["viscosity_tests"].append({**second["viscosity_tests"][0], "temperature_c": 20})
    faults = faults_of(data)
    assert set(faults) == {
        "/batches/0/batch",
        "/batches/1/batch",
        "/batches/1/viscosity_tests/1/tested_at",
        "/batches/1/gel_tests/0/initiator_percent",
        "/batches/1/gel_tests/1/temperature_c",
        "/batches/1/viscosity_tests/0/temperature_c",
    }
    assert "1.2 to 2 %" in faults["/batches/1/gel_tests/0/initiator_percent"]


def test_a_data_sheet_that_contradicts_itself_is_refused() -> None:
    """A viscosity that rises with temperature, a range the wrong way round."""
    data = sheet()
    data["viscosity_points"][1]["viscosity_mpa_s"] = 400
    data["initiator"] = {"least_percent": 2.0, "most_percent": 1.2}
    assert set(faults_of(data)) == {"/initiator", "/viscosity_points/1/viscosity_mpa_s"}


@pytest.mark.parametrize(
    "moment", ["2031-04-09", "2031-04-09T05:40:00", "2031-04-09T05:40:00+02:00", "2031-13-09T05:40:00Z", 1933306800]
)
def test_a_moment_is_utc_as_the_standard_writes_it(moment: object) -> None:
    """RFC 3339 with Z or +00:00: a time without its zone may be hours off, and the latest test counts."""
    data = sheet()
    data["batches"][1]["gel_tests"][0]["tested_at"] = moment
    assert list(faults_of(data)) == ["/batches/1/gel_tests/0/tested_at"]


@pytest.mark.parametrize("day", ["02.03.2031", "2031-02-30", 20310302])
def test_a_day_is_written_year_first(day: object) -> None:
    """RFC 3339, full-date."""
    data = sheet()
    data["batches"][0]["received_on"] = day
    assert list(faults_of(data)) == ["/batches/0/received_on"]


def test_a_truth_value_is_no_version() -> None:
    """Though Python holds True and 1 to be equal."""
    with pytest.raises(InputError) as caught:
        resin_sheet_from_mapping({**SHEET, "schema_version": True})
    assert [fault.path for fault in caught.value.faults] == ["/schema_version"]


def test_the_digest_rests_on_what_is_said() -> None:
    """Another order of keys and +00:00 for Z are the same sheet; another gel test is another."""
    text = json.dumps({key: SHEET[key] for key in reversed(SHEET)}).replace("00Z", "00+00:00").encode()
    other = sheet()
    other["batches"][1]["gel_tests"][0]["gel_time_min"] = 82
    digest = resin_sheet_from_mapping(sheet()).digest
    assert read_resin_sheet(text).digest == digest
    assert resin_sheet_from_mapping(other).digest != digest


@pytest.mark.parametrize("text", [b"", b"[]", b"name: x", b"schema_version: 2"])
def test_what_is_no_resin_is_refused(text: bytes) -> None:
    """InputError, never a traceback."""
    with pytest.raises(InputError):
        read_resin_sheet(text)
