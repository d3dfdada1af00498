"""What a row says beside its number: conditions that tell equal names apart, and the warning of a late spread."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from api.revalidation.conditions import conditions_of
from api.revalidation.report import _warnings
from optimiser.run_sheet.standing import Condemned


def again(*, newest_revision: int = 1, **facts: Any) -> Any:
    """An item that was planned again, from revision 1 of its layout."""
    return SimpleNamespace(
        again_facts=json.dumps({"resin": {}, **facts}),
        again_wet_out_s=600.0,
        layout_revision=1,
        newest_revision=newest_revision,
    )


def row(number: int, *, settings: str = "a" * 64, **facts: float) -> Any:
    known = {
        "mould_temperature_c": 20.0,
        "resin_temperature_c": 20.0,
        "gel_fraction": 0.7,
        "vacuum_mbar_abs": 20.0,
        "ambient_mbar_abs": 1013.0,
        "action_s": 15.0,
        "resin": {"initiator": {"level_percent": 1.5}},
    }
    return SimpleNamespace(
        number=number,
        name="hatch",
        facts=json.dumps(known | facts),
        settings_digest=settings,
        software_version="1",
        created_at=datetime(2026, 3, 14, tzinfo=UTC),
    )


def test_temperatures_and_gel_share_always_stand_there() -> None:
    """Also of a plan that has its name for itself."""
    assert conditions_of([row(1)]) == {1: "mould 20 °C, resin 20 °C, 70 % of gel time"}


def test_equal_names_are_told_apart_by_whatever_differs() -> None:
    """The vacuum where that is another; the digest of the settings only where nothing else is."""
    differ = conditions_of([row(1), row(2, vacuum_mbar_abs=50.0, settings="b" * 64)])
    assert [text.split(", ")[3:] for text in differ.values()] == [["vacuum 20 mbar"], ["vacuum 50 mbar"]]
    alike = conditions_of([row(1), row(2, settings="b" * 64)])
    assert [text.split(", ")[3:] for text in alike.values()] == [["settings aaaaaaaa"], ["settings bbbbbbbb"]]


def test_facts_of_another_version_tell_what_they_can() -> None:
    """A plan of before facts were kept has none."""
    old = row(1)
    old.facts = None
    assert conditions_of([old]) == {1: ""}


@pytest.mark.parametrize(
    ("spread_s", "says"),
    [
        ((500.0, 900.0), "wet only at minute 15, after the gel limit of minute 12"),
        ((500.0, None), "wet only not at all, after the gel limit of minute 12"),
        ((500.0, 700.0), ""),
        ((None, None), ""),
    ],
)
def test_a_new_sheet_that_may_be_wet_too_late_is_warned_of(spread_s: tuple[float | None, ...], says: str) -> None:
    """By the runs with changed permeability, against 0.7 of a gel time of 17 min and a bit: minute 12."""
    warnings = list(_warnings(again(spread_wet_out_s=spread_s, gel_limit_s=720.0), ()))
    assert len(warnings) == bool(says)
    assert all(warning.endswith(says) for warning in warnings)


def test_a_new_sheet_that_is_barred_doubted_or_of_an_older_layout_is_warned_of() -> None:
    """What its own sheet begins with, a test far off its data sheet, and that the layout was changed since."""
    doubted = {"taken_from": {"doubt": "CHECK THE TEST of the resin"}}
    of_old = again(spread_wet_out_s=(None, None), gel_limit_s=720.0, resin=doubted, newest_revision=3)
    barred = Condemned(at=datetime(2026, 3, 2, 7, 30, tzinfo=UTC), change=("it is cold",))
    first, second, third = _warnings(of_old, (barred,))
    assert first.startswith("its sheet begins STOP AND ASK. On 2 March 2026")
    assert second == "it is for revision 1 of the layout, which has revision 3 since"
    assert third == "CHECK THE TEST of the resin"
