"""Two plans beside each other: every difference that was made is found, and none that was not."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from api.cli.compare_text import comparison_text
from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_plan import read_plan
from optimiser.comparison.compare import compare_plans
from optimiser.comparison.comparison_document import Amount, Comparison, Words
from optimiser.errors import InputError

GOLDEN = Path(__file__).parents[1] / "golden" / "documents"
Data = dict[str, Any]


def compared(data: Data, change: Callable[[Data], object]) -> Comparison:
    """The plan against itself with one change."""
    other = deepcopy(data)
    change(other)
    return compare_plans(PlanDocument.model_validate(data), PlanDocument.model_validate(other))


def blocks(found: Comparison) -> dict[str, Any]:
    """The lists that are not empty."""
    names = ("steps", "due_together", "mistakes", "times", "amounts", "variations")
    names += ("conditions", "lines", "laminates", "warnings", "notes")
    return {name: getattr(found, name) for name in names if getattr(found, name)}


def number(data: Data) -> None:
    """Steps numbered again as they stand."""
    for order, step in enumerate(data["steps"], start=1):
        step["order"] = order


def test_a_plan_against_itself_differs_in_nothing(data: Data) -> None:
    """All lists are empty but that of the times of steps, which are equal."""
    found = compared(data, number)
    assert blocks(found) == {}
    assert found.same_case
    assert found.plan_a == found.plan_b
    assert found.step_times
    assert all(one.a_s == one.b_s for one in found.step_times)


def test_a_step_taken_out_is_gone_and_one_put_in_is_added(data: Data) -> None:
    """And nothing is called moved because the numbers behind it shifted."""

    def without_second(other: Data) -> None:
        del other["steps"][1]
        number(other)

    assert len(data["steps"]) >= 3
    gone = compared(data, without_second)
    (one,) = gone.steps
    assert (one.label, one.changes, one.b) == (data["steps"][1]["label"], ["gone"], None)
    back = deepcopy(data)
    without_second(back)
    (one,) = compare_plans(PlanDocument.model_validate(back), PlanDocument.model_validate(data)).steps
    assert (one.changes, one.a) == (["added"], None)
    assert one.b is not None
    assert one.b.order == 2


def test_a_step_carried_to_the_end_is_the_only_one_moved(data: Data) -> None:
    """The fewest are named: not all those that it was carried past."""

    def first_last(other: Data) -> None:
        other["steps"].append(other["steps"].pop(0))
        number(other)

    (one,) = compared(data, first_last).steps
    assert (one.label, one.changes) == (data["steps"][0]["label"], ["moved"])
    assert one.a is not None
    assert one.b is not None
    assert (one.a.order, one.b.order) == (1, len(data["steps"]))


@pytest.mark.parametrize(("field", "value"), [("share", 0.5), ("delay_s", 60.0), ("place", "elsewhere")])
def test_another_trigger_is_named_with_both(data: Data, field: str, value: object) -> None:
    """Kind, place, share, clock and delay are the trigger; its words alone are not."""
    step = next(step for step in data["steps"] if step["trigger"]["kind"] == "reached")
    place = data["steps"].index(step)

    def change(other: Data) -> None:
        other["steps"][place]["trigger"] |= {field: value, "says": "otherwise"}

    (one,) = compared(data, change).steps
    assert (one.label, one.changes) == (step["label"], ["other_trigger"])
    assert one.a is not None
    assert one.b is not None
    assert (one.a.trigger, one.b.trigger) == (step["trigger"]["says"], "otherwise")
    assert not compared(data, lambda other: other["steps"][place]["trigger"].update(says="x")).steps


@pytest.mark.parametrize(
    ("change", "field", "a", "b"),
    [
        ("other_backup", "backup", "or after 0.8 kg", "or after 1.2 kg"),
        ("other_manifold", "turned_at", "AFT", "FWD"),
        ("other_person", "person", 1, 2),
    ],
)
def test_what_else_the_crew_does_otherwise_at_a_step(data: Data, change: str, field: str, a: object, b: object) -> None:
    """The kilograms to go by, the manifold and who goes there; the text has both, and no call is said to be another."""
    step = data["steps"][1]
    (step["trigger"] if field == "backup" else step)[field] = a

    def otherwise(other: Data) -> None:
        step = other["steps"][1]
        (step["trigger"] if field == "backup" else step)[field] = b
        other["case_digest"] = "0" * 64

    found = compared(data, otherwise)
    (one,) = found.steps
    assert one.changes == [change]
    assert (getattr(one.a, field), getattr(one.b, field)) == (a, b)
    assert f"it was: {a}; it is: {b}" in comparison_text(found)
    assert not any(note.startswith("The cases differ") for note in found.notes)


def test_where_they_stand_at_the_start(data: Data) -> None:
    """One of two people at another manifold."""
    data["conditions"]["standing_at"] = ["AFT", "AFT"]
    found = compared(data, lambda other: other["conditions"].update(standing_at=["AFT", "FWD"]))
    assert found.conditions == [Words(what="where they stand at the start", a="AFT, AFT", b="AFT, FWD")]


def test_a_wider_range_of_expected_minutes_is_told(data: Data) -> None:
    """As planned no step moves; with more spread each is to be expected from sooner to later."""

    def wider(other: Data) -> None:
        other["steps"][1]["earliest_s"] -= 60
        other["steps"][1]["latest_s"] += 120

    found = compared(data, wider)
    assert not found.steps
    was, now = found.step_times[1].a_range_s, found.step_times[1].b_range_s
    assert [y - x for x, y in zip(was, now, strict=True)] == pytest.approx([-60, 120])
    text = comparison_text(found)
    assert "begins 1.0 min earlier to 0.0 min later and ends 0.0 min later to 2.0 min later in B" in text
    assert "range of their expected minutes" not in comparison_text(compared(data, number))


def test_times_are_those_of_the_sheet(data: Data) -> None:
    """Wet-out 61 s later: rounded up; the margin shrinks by as much."""

    def later(other: Data) -> None:
        other["wet_out_s"] = data["wet_out_s"] + 60.0

    found = {one.what: one for one in compared(data, later).times}
    assert set(found) == {"wet-out", "margin before the gel limit"}
    shift = [round((one.b or 0) - (one.a or 0), 6) for one in found.values()]
    assert shift == [1.0, -1.0]


def test_what_may_still_be_won_is_told_where_it_differs(data: Data) -> None:
    """A minute and a half that the zone graph has not ruled out, in B only."""

    def less_sure(other: Data) -> None:
        data["proof"]["graph_gap_s"], other["proof"]["graph_gap_s"] = 0.0, 90.0

    (gap,) = compared(data, less_sure).times
    assert gap == Amount(what="what an order on the zone graph may still win", unit="min", a=0.0, b=1.5)


def test_what_the_morning_must_be_like(data: Data) -> None:
    """Batch as text, temperature as a number with its unit; a hundredth of a degree is none."""

    def colder(other: Data) -> None:
        other["conditions"] |= {"batch": "B-2", "mould_temperature_c": data["conditions"]["mould_temperature_c"] - 2}
        other["conditions"]["resin_temperature_c"] += 0.01
        other["resin"]["initiator_kg"] += 0.002

    found = compared(data, colder)
    now_c = data["conditions"]["mould_temperature_c"]
    assert found.conditions == [
        Words(what="batch", a=data["conditions"]["batch"], b="B-2"),
        Amount(what="mould", unit="degrees C", a=now_c, b=now_c - 2),
    ]
    (initiator,) = found.amounts
    assert (initiator.what, initiator.unit) == ("initiator", "kg")


def test_lines_and_laminates(data: Data) -> None:
    """A wider bore, a line that is no more, and a zone of another laminate."""

    def rebuilt(other: Data) -> None:
        other["lines"][0]["bore_mm"] += 4
        del other["lines"][1]
        other["zones"][0]["laminate"] = "thicker"

    found = compared(data, rebuilt)
    first, second = (line["label"] for line in data["lines"][:2])
    assert {one.what for one in found.lines} == {f"line {first}, bore", f"line {second}"}
    area = data["zones"][0]["area_m2"]
    assert {one.what: (one.b or 0) - (one.a or 0) for one in found.laminates}["laminate thicker"] == pytest.approx(
        area, abs=0.01
    )


def test_cases_that_differ_unseen_are_said_to(data: Data) -> None:
    """A permeability stands in no plan: the digests alone tell."""
    found = compared(data, lambda other: other.update(case_digest="0" * 64))
    assert not found.same_case
    assert any(note.startswith("The cases differ in something that a plan does not carry") for note in found.notes)


def test_where_results_differ_the_cases_may_differ_unseen(data: Data) -> None:
    """Wet later for a reason that stands in neither plan; where the reason stands there, nothing of it is said."""
    later = {"case_digest": "0" * 64, "wet_out_s": data["wet_out_s"] + 60}
    (note,) = compared(data, lambda other: other.update(later)).notes
    assert note.startswith("The cases may also differ")

    def colder(other: Data) -> None:
        other.update(later)
        other["conditions"]["mould_temperature_c"] -= 2

    assert compared(data, colder).notes == []


@pytest.mark.parametrize(
    ("text", "found", "remedy"),
    [
        ((GOLDEN / "case_1.yaml").read_bytes(), "a case", "plan it first"),
        ((GOLDEN / "sequence_1.yaml").read_bytes(), "a sequence", "check it first"),
        (b"[1, 2]", "a list", ""),
        (b"{}", "without a verdict", ""),
        (b'{"verdict": "verified"}', "nothing", ""),
        (b'{"verdict": ', "a slip", ""),
    ],
)
def test_what_is_no_plan_is_refused_by_name(text: bytes, found: str, remedy: str) -> None:
    """Each fault begins with the name of the file and says what stands there."""
    with pytest.raises(InputError) as refused:
        read_plan(text, named="monday.json")
    assert all(fault.path.startswith("monday.json") for fault in refused.value.faults)
    assert found in refused.value.faults[0].found
    assert refused.value.faults[0].remedy.startswith(remedy)
