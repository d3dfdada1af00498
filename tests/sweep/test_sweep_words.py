"""What a sweep says in words: settings with one reason together, minutes on the safe side."""

from __future__ import annotations

from typing import Any

from optimiser.case.change_document import changed_case
from optimiser.sweep.as_csv import render_csv
from optimiser.sweep.page import render_html
from optimiser.sweep.settings import setting_at
from optimiser.sweep.words import course_words, most_margin_words, own_words, reason_lines, resin_words


def test_settings_with_the_same_reason_stand_together(bay: Any) -> None:
    """Neighbours as a span, each reason once, the level before the temperature."""
    resin = {"initiator": {"level_percent": 1.5, "least_percent": 1.2, "most_percent": 2.0}}
    found = bay.sweep(bay.open, (10.0, 20.0, 22.0), (1.0, 1.2, 1.5, 2.0), resin=resin)
    assert reason_lines(found) == [
        "10 to 22 °C with 1 %: outside the initiator range entered in the case, 1.2 to 2 %",
        "10 °C with 1.2 to 2 %: the viscosity is measured from 15.0 to 30.0 degrees C; asked at 10.0",
    ]


def test_where_all_is_judged_and_clean_there_is_nothing_to_say(looked_up: Any) -> None:
    """Lateness stands in the numbers."""
    assert reason_lines(looked_up) == []


def test_the_own_setting_is_told_with_its_margin_or_by_how_much_it_is_late(bay: Any, looked_up: Any) -> None:
    """To two tenths of a minute, as the table prints it: late is rounded up, margin down."""
    own = looked_up.own
    margin = float(own_words(looked_up).split("margin ")[1].split()[0])
    assert 0 <= own.gel_margin_s / 60 - margin < 0.2
    late = bay.sweep(
        bay.open,
        (30.0,),
        (2.0,),
        process={"mould_temperature_c": 30, "resin_temperature_c": 30},
        resin={"initiator": {"level_percent": 2.0, "least_percent": 1.0, "most_percent": 2.0}},
    )
    said = own_words(late)
    by_min = float(said.split("LATE by ")[1].split()[0])
    assert 0 <= by_min + late.own.gel_margin_s / 60 < 0.2
    assert said.endswith("Do not shoot with it.")


def test_a_lock_is_told_in_the_words_of_the_plan(bay: Any) -> None:
    """Which requirement fails, by how much and where."""
    found = bay.sweep(bay.clamped_too_early, (20.0,), (1.5,))
    (reason,) = bay.plan(bay.case(), bay.clamped_too_early).reasons
    assert f"FAILS: {reason.requirement}: {reason.by_how_much}, {reason.where}" in own_words(found)


def test_no_level_is_advised(looked_up: Any) -> None:
    """The line of most margin names a setting and who decides; it does not tell anyone to take it."""
    said = most_margin_words(looked_up)
    assert said.endswith("Inside the range entered; the data sheet decides.")
    assert not [word for word in ("recommend", "best", "should", "use ", "choose") if word in said]


def test_how_the_resins_temperature_goes_is_said(bay: Any, looked_up: Any) -> None:
    """The same as the mould's, or so much colder."""
    assert resin_words(looked_up) == "Mould and resin at the temperature given."
    colder = bay.sweep(bay.open, (25.0,), (1.5,), process={"mould_temperature_c": 25, "resin_temperature_c": 21})
    assert resin_words(colder) == "Temperatures are the mould's; the resin is 4 K colder."


def test_what_a_row_means_where_temperatures_change_over_the_shot(bay: Any) -> None:
    """The whole course moves: two kelvin warmer at the first tap is two kelvin warmer at the end, and is said so."""
    rows = [
        {"at_min": at_min, "mould_temperature_c": mould_c, "resin_temperature_c": 20}
        for at_min, mould_c in ((0, 20), (60, 24), (2000, 24))
    ]
    case = bay.case(process={"temperatures": rows, "age_at_first_tap_min": 4})
    later = changed_case(case.document.model_dump(mode="json"), setting_at(case.document, 22.0, 1.5).change)
    assert [row["mould_temperature_c"] for row in later["process"]["temperatures"]] == [22, 26, 26]
    moved = bay.sweep(bay.open, (20.0,), (1.5,), process={"temperatures": rows, "age_at_first_tap_min": 4})
    assert course_words(moved).startswith("Temperatures are those at the first tap; the case's course over the")
    assert course_words(bay.sweep(bay.open, (20.0,), (1.5,))) == ""
    page = render_html(moved)
    assert "Temperature at the first tap" in page
    assert "70 % of the gel time less the 4 min that resin is old at the first tap" in page
    assert render_csv(moved).decode("utf-8-sig").startswith("mould °C at the first tap,resin °C at the first tap,")
