"""What a case says of its scatter, what is taken where it says nothing, and that old cases keep their digests."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.read_case import Case, case_from_mapping, read_case
from optimiser.errors import InputError
from optimiser.scatter.factors import FactorKind, factors_of
from optimiser.scatter.law import Lognormal


def demo(**process: Any) -> dict[str, Any]:
    data: dict[str, Any] = yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8"))
    data["process"] |= process
    return data


def with_variations(data: dict[str, Any]) -> Case:
    return case_from_mapping({**data, "search": {**data["search"], "scenarios": 100}})


def taken(case: Case) -> dict[str, str]:
    return {one.path: one.value for one in case.assumptions if "scatter" in one.path or "near" in one.path}


def test_a_case_that_asks_for_none_has_no_scatter() -> None:
    """Nor anything assumed of it, whatever it states."""
    plain, stated = case_from_mapping(demo()), case_from_mapping(demo(scatter={"late_up_to_s": 60}))
    assert plain.shot.scatter is stated.shot.scatter is None
    assert taken(plain) == taken(stated) == {}


def test_what_is_left_out_is_taken_and_listed() -> None:
    """Each with its number, so that nobody takes it for the shop's own; gaps only where there are some."""
    case = with_variations(demo())
    found = case.shot.scatter
    assert found is not None
    assert (found.temperature_k, found.vacuum_pa, found.late_s) == (2.0, 1000.0, 30.0)
    assert taken(case) == {
        "/process/scatter/temperature_plus_minus_c": "mould and resin 2 degrees C colder or warmer",
        "/process/scatter/gel_time_spread_percent": "gel time: coefficient of variation 10 %",
        "/process/scatter/vacuum_plus_minus_mbar": "10 mbar more or less under the bag",
        "/process/scatter/late_up_to_s": "crew up to 30 s late on each action",
        "/search/near_percent": "up to 25 % slower than the fastest",
    }


def test_what_is_stated_is_used() -> None:
    """In SI, zero too."""
    gap = {"name": "edge", "run_mm": [[0, 0], [4800, 0]], "width_mm": 3, "depth_mm": 12, "chance_percent": 20}
    scatter = {
        "temperature_plus_minus_c": 3,
        "gel_time_spread_percent": 0,
        "vacuum_plus_minus_mbar": 5,
        "late_up_to_s": 60,
        "gap_width_spread_percent": 40,
        "may_race": [gap],
    }
    case = with_variations(demo(scatter=scatter))
    found = case.shot.scatter
    assert found is not None
    assert (found.temperature_k, found.gel_time_variation, found.vacuum_pa) == (3.0, 0.0, 500.0)
    assert (found.late_s, found.track_width_variation) == (60.0, 0.4)
    assert [(one.track.name, one.track.width_m, one.chance) for one in found.may_race] == [("edge", 0.003, 0.2)]
    assert case.shot.part.race_tracks == ()
    assert list(taken(case)) == ["/search/near_percent"]


def test_a_laminate_may_have_a_spread_of_its_own() -> None:
    """Measured in the shop itself; the others keep that of the process, and one that never varies is not drawn."""
    rows = [{"laminate": "sandwich", "variation_percent": 8}]
    for percent in (8, 0):
        rows[0]["variation_percent"] = percent
        shot = with_variations(demo(scatter={"laminates": rows})).shot
        assert shot.scatter is not None
        spreads = {one.name: one.law for one in factors_of(shot, shot.scatter) if one.kind == FactorKind.PERMEABILITY}
        assert spreads == ({"sandwich": Lognormal(variation=0.08)} if percent else {})


def test_a_spread_of_a_laminate_that_is_not_there_is_named() -> None:
    """So is one given twice."""
    rows = [{"laminate": name, "variation_percent": 8} for name in ("sandwich", "sandwhich", "sandwich")]
    with pytest.raises(InputError) as error:
        case_from_mapping(demo(scatter={"laminates": rows}))
    assert [fault.path for fault in error.value.faults] == [
        "/process/scatter/laminates/1/laminate",
        "/process/scatter/laminates/2/laminate",
    ]
    assert error.value.faults[0].remedy == "did you mean 'sandwich'?"


def test_temperature_is_narrowed_to_the_data_of_the_resin() -> None:
    """At 29 degrees C, with points up to 30: one degree and no more, and the list says why."""
    case = with_variations(demo(mould_temperature_c=29, resin_temperature_c=29))
    assert case.shot.scatter is not None
    assert case.shot.scatter.temperature_k == 1.0
    (why,) = [one.why for one in case.assumptions if one.path.endswith("temperature_plus_minus_c")]
    assert "reach no further" in why


def test_a_good_vacuum_is_not_doubled_into_none() -> None:
    """At 6 mbar absolute, 3 either way."""
    case = with_variations(demo(vacuum_mbar_abs=6))
    assert case.shot.scatter is not None
    assert case.shot.scatter.vacuum_pa == 300.0


def test_asked_for_on_the_way_in_is_as_if_the_text_said_so() -> None:
    """The command line's number makes the case that states it, to the digest; a bad one is named by its place."""
    path = demo_case_path("flat_panel")
    assert read_case(path, scenarios=100).digest == with_variations(demo()).digest != read_case(path).digest
    with pytest.raises(InputError) as error:
        read_case(path, scenarios=7)
    assert [fault.path for fault in error.value.faults] == ["/search/scenarios"]
