"""What a row says beside its number: conditions that tell equal names apart, and the warning of a late spread."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from api.revalidation.conditions import conditions_of
from api.revalidation.report import _warning


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
    facts = json.dumps({"spread_wet_out_s": spread_s, "gel_limit_s": 720.0})
    warning = _warning(SimpleNamespace(again_facts=facts, again_wet_out_s=600.0))  # type: ignore[arg-type]
    assert warning.endswith(says)
    assert bool(warning) == bool(says)
