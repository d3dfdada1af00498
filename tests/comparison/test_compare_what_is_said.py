"""What plans say beside their steps, compared: single mistakes, close steps, variations of the day, warnings."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

from api.cli.compare_text import comparison_text
from optimiser.case.plan_document import PlanDocument
from optimiser.comparison.compare import compare_plans
from optimiser.comparison.comparison_document import Amount, Comparison

Data = dict[str, Any]


def compared(data: Data, change: Callable[[Data], object]) -> Comparison:
    """The plan against itself with one change."""
    other = deepcopy(data)
    change(other)
    return compare_plans(PlanDocument.model_validate(data), PlanDocument.model_validate(other))


def mistake(data: Data, place: int, kind: str, does: str, *, clean: bool) -> Data:
    step = data["steps"][place]
    return {
        "step": step["order"],
        "label": step["label"],
        "mistake": kind,
        "other_step": None,
        "other_label": None,
        "network": "coarse",
        "nothing_flows": False,
        "clean": clean,
        "in_time": True,
        "wet_out_later_s": 0.0,
        "gel_margin_s": 60.0,
        "locked_litres": 0.0,
        "locked_regions": 0,
        "locked_near": None,
        "closed_by": [],
        "dry_m2": 0.0,
        "vents_draw_more_litres": 0.0,
        "worst_of_step": True,
        "happens": "it goes wrong",
        "does": does,
    }


def with_mistakes(data: Data) -> Data:
    """Two worst mistakes, and the same two steps close together."""
    says = "Steps 2 and 3 (TAP 2 and TAP 3) are due within 9 s and there is one of you. Keep to this order."
    close = {"steps": [2, 3], "labels": [data["steps"][k]["label"] for k in (1, 2)], "within_s": 9.0, "says": says}
    return {
        "late_by_s": 300.0,
        "coarse_cell_mm": 75.0,
        "coarse_wet_out_s": 900.0,
        "statement": "One mistake at a time.",
        "results": [
            mistake(data, 1, "late", "no air closes in, wet 6 min later", clean=True),
            mistake(data, 2, "skipped", "no air closes in, wet 9 min later", clean=True),
        ],
        "close": [close | {"hands_suffice": False, "must_not_wait": None}],
    }


def test_a_worse_mistake_is_told_and_a_harmless_one_counted(data: Data) -> None:
    """Air closes in where it did not; six minutes that became seven spoil nothing."""
    data["mistakes"] = with_mistakes(data)

    def worse(other: Data) -> None:
        other["mistakes"]["results"] = [
            mistake(data, 1, "late", "no air closes in, wet 7 min later", clean=True),
            mistake(data, 2, "skipped", "AIR CLOSES IN beside line 2, 4 litres", clean=False),
        ]

    found = compared(data, worse)
    assert [(one.label, one.b.spoils) for one in found.mistakes] == [
        (data["steps"][1]["label"], False),
        (data["steps"][2]["label"], True),
    ]
    text = comparison_text(found)
    assert "wet 9 min later -> if forgotten, AIR CLOSES IN beside line 2, 4 litres" in text
    assert "1 more that spoils nothing" in text
    assert "7 min later" not in text
    assert not compared(data, lambda _: None).mistakes


def test_mistakes_played_for_one_alone_are_not_said_to_be_equal(data: Data) -> None:
    """Nothing is compared then; where none were played there is no word of them."""
    found = compared(data, lambda other: other.update(mistakes=with_mistakes(data)))
    assert found.mistakes == found.due_together == []
    assert "Mistakes: played for B alone." in comparison_text(found)
    assert "istakes" not in comparison_text(compared(data, lambda _: None))


def test_close_steps_in_another_order(data: Data) -> None:
    """Other seconds between them alone are none; which must not wait is one, and so is another order of their calls."""
    data["mistakes"] = with_mistakes(data)
    label = data["steps"][2]["label"]

    def close(other: Data) -> Data:
        found: Data = other["mistakes"]["close"][0]
        return found

    says = close(data)["says"]
    sooner = {"within_s": 8.0, "says": says.replace("9 s", "8 s")}
    assert not compared(data, lambda other: close(other).update(sooner)).due_together
    for change in ({"must_not_wait": label}, {"labels": close(data)["labels"][::-1]}, {"says": says + " Or not."}):
        (one,) = compared(data, lambda other, change=change: close(other).update(change)).due_together
        assert one.a == says
    (one,) = compared(data, lambda other: other["mistakes"].update(close=[])).due_together
    assert (one.a, one.b) == (says, None)


def played(clean: int, count: int, **more: Any) -> Data:
    """In so many variations of the crew's speed; the interval is not what is compared here."""
    varied = {"name": "seconds the crew is late on each action", "spread": "evenly from 0 to 30 s"}
    driver = varied | {"failed_when_low_percent": 0, "failed_when_high_percent": 0, "by_chance_percent": 100}
    return {
        "statement": "So many stayed clean.",
        "variations": count,
        "clean": clean,
        "clean_percent": 100 * clean / count,
        "clean_low_percent": 90.7,
        "clean_high_percent": 99.2,
        "confidence_percent": 95,
        "interval": "Clopper-Pearson",
        "sampling": "Latin hypercube",
        "network_cells": 192,
        "locked": 0,
        "never_wet": 0,
        "out_of_order": 0,
        "late": count - clean,
        "wet_out_p05_s": None,
        "wet_out_p50_s": None,
        "wet_out_p95_s": None,
        "least_gel_margin_s": None,
        "drivers": [driver | {"wet_out_rank_correlation_percent": None}],
        "patchy_percent": 0,
        "locked_zones": [],
        "steps": [],
        "compared": [],
        "gave_up_s": 0.0,
        **more,
    }


def test_how_robust_each_is(data: Data) -> None:
    """Two more are too late, half a minute was given up, and the interval is rounded outward as in the plan's words."""
    data["robustness"] = played(40, 40)
    other = played(38, 40, gave_up_s=30.0, clean_low_percent=83.1)
    found = compared(data, lambda plan: plan.update(robustness=other))
    assert found.variations == [
        Amount(what="clean and in time", unit="", a=40, b=38),
        Amount(what="chance of that, at least", unit="percent", a=90, b=83),
        Amount(what="given up for it", unit="min", a=0, b=0.5),
        Amount(what="too late", unit="", a=0, b=2),
    ]
    assert "clean and in time: 40 -> 38 (-2)" in comparison_text(found)


def test_unequal_numbers_of_variations_are_compared_as_shares(data: Data) -> None:
    """Else 257 of 260 would look better than 40 of 40; and a quantity that was varied otherwise is named."""
    data["robustness"] = played(40, 40)
    other = played(257, 260)
    other["drivers"][0] |= {"spread": "evenly from 0 to 60 s"}
    found = {one.what: one for one in compared(data, lambda plan: plan.update(robustness=other)).variations}
    assert found["clean and in time"] == Amount(what="clean and in time", unit="percent", a=100, b=98.8)
    assert found["too late"] == Amount(what="too late", unit="percent", a=0, b=1.2)
    assert found["varied: seconds the crew is late on each action"].b == "evenly from 0 to 60 s"
    alone = compared(data, lambda plan: plan.pop("robustness"))
    assert (alone.plan_a.variations_played, alone.plan_b.variations_played) == (40, None)
    assert alone.variations[0] == Amount(what="played", unit="", a=40, b=None)


def test_where_nothing_varied_there_is_no_chance(data: Data) -> None:
    """Equal runs have none."""
    data["robustness"] = played(40, 40)
    found = compared(data, lambda plan: plan.update(robustness=played(40, 40, drivers=[])))
    assert Amount(what="chance of that, at least", unit="percent", a=90, b=None) in found.variations


def test_a_warning_with_other_figures_is_one_that_changed(data: Data) -> None:
    """Each is held against one of the other plan, and what is said of another thing is new."""
    data["warnings"] = ["cells of 100 mm, wet 20% later", "the vents draw 0.19 litres"]
    came = ["the vents draw 0.2 litres", "the vents draw 3 litres", "the pots draw 0.2 litres"]
    found = compared(data, lambda other: other.update(warnings=came))
    assert [(one.a, one.b) for one in found.warnings] == [
        ("the vents draw 0.19 litres", came[0]),
        (None, came[1]),
        (None, came[2]),
        ("cells of 100 mm, wet 20% later", None),
    ]
    assert f"CHANGED: the vents draw 0.19 litres -> {came[0]}" in comparison_text(found)


def test_warnings_that_only_one_has(data: Data) -> None:
    """What is new first; those that both have are not repeated."""
    data["warnings"] = ["both have it", "it went"]
    found = compared(data, lambda other: other.update(warnings=["it came", "both have it"]))
    assert [(one.a, one.b) for one in found.warnings] == [(None, "it came"), ("it went", None)]
    text = comparison_text(found)
    assert "Warnings:\n  ADDED: it came\n  GONE: it went" in text
    assert "both have it" not in text


def test_a_step_that_moved_past_one_that_is_gone_is_told_by_its_neighbours(data: Data) -> None:
    """Second in both, but after another tap: 'from step 2 to step 2' would say nothing."""
    labels = [f"{step['action']} {step['label']}" for step in data["steps"]]

    def carried(other: Data) -> None:
        first, second, third, *rest = other["steps"]
        other["steps"] = [third, second, *rest]
        for order, step in enumerate(other["steps"], start=1):
            step["order"] = order
        assert first["label"] != third["label"]

    def back(other: Data) -> None:
        other["steps"] = [other["steps"][2], other["steps"][1], other["steps"][0], *other["steps"][3:]]
        for order, step in enumerate(other["steps"], start=1):
            step["order"] = order

    assert "to step 2" not in comparison_text(compared(data, carried))
    text = comparison_text(compared(data, back))
    assert f"MOVED, step 2 in both: it came after {labels[0]}, it comes after {labels[2]}" in text


def test_a_number_that_only_one_has_bears_its_unit_and_the_other_says_why_not(data: Data) -> None:
    """'0.0 -> none min' was neither."""
    data["proof"]["graph_gap_s"] = 0.0
    text = comparison_text(compared(data, lambda other: other["proof"].update(graph_gap_s=None)))
    assert "what an order on the zone graph may still win: 0.0 min -> not known" in text
    text = comparison_text(compared(data, lambda other: other.update(wet_out_s=None)))
    assert " min -> never\n" in text
    text = comparison_text(compared(data, lambda other: other["conditions"].update(flow_cap_kg_per_min=2.5)))
    assert "flow cap: none -> 2.5 kg/min" in text


def test_rules_of_the_shop_that_only_one_was_made_with(data: Data) -> None:
    """What is new first."""
    data["rules"] = ["start 2", "3 by min 20"]
    found = compared(data, lambda other: other.update(rules=["start 2", "order 3, 1"]))
    assert [(one.a, one.b) for one in found.rules] == [(None, "order 3, 1"), ("3 by min 20", None)]
    text = comparison_text(found)
    assert "Rules of the shop:\n  ADDED: order 3, 1\n  GONE: 3 by min 20" in text


def test_what_follows_for_whoever_has_the_first_sheet(data: Data) -> None:
    """Which sheet goes and which comes; nothing where both are one, no orders where the second is refused."""
    assert "To do" not in comparison_text(compared(data, lambda _: None))
    found = compared(data, lambda other: other["steps"].pop())
    sheets = f"take sheet {found.plan_a.sheet} away and hand out {found.plan_b.sheet}"
    assert f"{sheets}; 1 step of the crew differs." in comparison_text(found)
    text = comparison_text(compared(data, lambda other: other.update(verdict="not_admissible")))
    assert "To do: do not infuse by sheet" in text
