"""Which settings a sweep takes by itself, and where the case's own data end."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.sweep.settings import (
    default_levels_percent,
    default_temperatures_c,
    levels_not_measured,
    out_of_reach,
    own_setting,
    setting_at,
    with_own,
)


def gel_points(*percents: float) -> list[dict[str, float]]:
    return [
        {"temperature_c": each_c, "initiator_percent": percent, "gel_time_min": minutes * percents[0] / percent}
        for percent in percents
        for each_c, minutes in ((15.0, 120.0), (30.0, 43.0))
    ]


@pytest.mark.parametrize(
    ("own_c", "expected"),
    [
        (22, (16.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0)),
        (19, (15.0, 17.0, 19.0, 21.0, 23.0, 25.0)),
        (30, (24.0, 26.0, 28.0, 30.0)),
    ],
)
def test_temperatures_lie_round_the_cases_own_as_far_as_the_data_reach(
    bay: Any, own_c: float, expected: tuple[float, ...]
) -> None:
    """Every second degree within 6 K; viscosity is known from 15 to 30 degrees C."""
    process = {"mould_temperature_c": own_c, "resin_temperature_c": own_c}
    assert default_temperatures_c(bay.case(process=process).document) == expected


def test_a_colder_resin_ends_the_temperatures_sooner(bay: Any) -> None:
    """A mould at 17 has resin at 14, of which the viscosity is not known."""
    case = bay.case(process={"mould_temperature_c": 21, "resin_temperature_c": 18})
    assert default_temperatures_c(case.document) == (19.0, 21.0, 23.0, 25.0, 27.0)


@pytest.mark.parametrize(
    ("least", "most", "measured", "expected"),
    [
        (1.0, 2.0, (1.0, 2.0), (1.0, 1.2, 1.4, 1.6, 1.8, 2.0)),
        (1.2, 2.0, (1.0, 2.0), (1.2, 1.4, 1.6, 1.8, 2.0)),
        (1.0, 2.0, (1.5,), (1.5,)),
        (1.0, 2.0, (1.25, 1.75), (1.25, 1.4, 1.6, 1.75)),
        (20.0, 40.0, (25.0, 35.0), (25.0, 30.0, 35.0)),
    ],
)
def test_levels_are_round_steps_over_the_range_entered_as_far_as_gel_times_are_measured(
    bay: Any, least: float, most: float, measured: tuple[float, ...], expected: tuple[float, ...]
) -> None:
    """At most six with both ends, never beyond either range."""
    own = max(least, measured[0])
    initiator = {"level_percent": own, "least_percent": least, "most_percent": most}
    resin = {"initiator": initiator, "gel_time_points": gel_points(*measured)}
    assert default_levels_percent(bay.case(resin=resin).document) == expected


def test_what_of_the_range_has_no_gel_times_is_said(bay: Any) -> None:
    """A range of 1 to 2 % with gel times at 1.5 % alone; and one that is known all over."""
    resin = {"gel_time_points": gel_points(1.5)}
    said = levels_not_measured(bay.case(resin=resin).document)
    assert said is not None
    assert "1 to 2 %, but gel times are measured at 1.5 % alone" in said
    assert levels_not_measured(bay.case().document) is None


@pytest.mark.parametrize(
    ("temperature_c", "percent", "why"),
    [
        (20.0, 0.9, "outside the initiator range entered in the case, 1 to 2 %"),
        (20.0, 2.1, "outside the initiator range entered in the case, 1 to 2 %"),
        (31.0, 1.5, "the viscosity is measured from 15.0 to 30.0 degrees C; asked at 31.0"),
        (81.0, 1.5, "mould and resin must lie between 0 and 80 degrees C"),
    ],
)
def test_nothing_is_extrapolated(bay: Any, temperature_c: float, percent: float, why: str) -> None:
    """Each end of each range, in a sentence."""
    document = bay.case().document
    assert out_of_reach(document, setting_at(document, temperature_c, percent)) == why


def test_the_ends_of_the_ranges_are_within(bay: Any) -> None:
    """Where a value was measured it may be used."""
    document = bay.case().document
    corners = [setting_at(document, each_c, percent) for each_c in (15.0, 30.0) for percent in (1.0, 2.0)]
    assert {out_of_reach(document, corner) for corner in corners} == {None}


def test_the_cases_own_setting_is_always_among_them(bay: Any) -> None:
    """In its place, once, to the last bit, whatever steps were asked for."""
    document = bay.case(process={"mould_temperature_c": 20.1, "resin_temperature_c": 21.3}).document
    own = own_setting(document)
    values = with_own((18.0, 20.1 + 1e-12, 22.0), own.mould_temperature_c)
    assert values == (18.0, 20.1, 22.0)
    assert setting_at(document, values[1], own.initiator_percent) == own
