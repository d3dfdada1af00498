"""The full way for one stored sequence says what checking it in the changed case says, and does no more work."""

from __future__ import annotations

import json
import multiprocessing
import pickle
from concurrent.futures import ProcessPoolExecutor
from typing import Any

import pytest

from optimiser.case.change_document import read_change
from optimiser.case.plan_document import Verdict
from optimiser.revalidation import replay as replaying
from optimiser.revalidation.answer import Answer, CannotJudge, Kind
from optimiser.revalidation.replay import replay

COLD = {"mould_temperature_c": 16.0}
WARM = {"mould_temperature_c": 24.0, "resin_temperature_c": 26.0}
HIGH = {"ambient_mbar_abs": 880.0}
TEST = {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 6}}
TEST_20 = {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 80}}


PLAYED = [
    ("outward", COLD),
    ("outward", WARM),
    ("outward", HIGH),
    ("outward", TEST),
    ("middle_alone", COLD),
    ("both_edges", WARM),
]


@pytest.mark.parametrize(("order", "change"), PLAYED)
def test_verdict_and_wet_out_are_those_of_a_check(yard: Any, order: str, change: dict[str, Any]) -> None:
    """Bit for bit the wet-out of `check_sequence_of_case`; valid where it verifies."""
    stored = yard.stored(getattr(yard, order)(), yard.data())
    found, checked = stored.replay(change), stored.check(change)
    assert found.wet_out_after_s == checked.wet_out_s
    assert (found.gel_limit_after_s, found.margin_after_s) == (checked.gel_limit_s, checked.gel_margin_s)
    assert (found.kind is not Kind.NO_LONGER_VALID) == (checked.verdict is Verdict.VERIFIED)
    if checked.reasons:
        assert found.reason.startswith(checked.reasons[0].requirement)


def test_the_spread_is_played_only_where_the_nominal_run_holds(yard: Any) -> None:
    """One run says that it gels; six, and one on finer cells, say that it holds."""
    stored = yard.stored(yard.outward(), yard.data())
    assert [stored.replay(change).network_runs for change in (TEST, COLD)] == [1, 7]


def test_a_lock_in_the_spread_ends_a_plan_and_lateness_there_does_not(yard: Any) -> None:
    """By the rules of the plan: a line opened by the clock ahead of a patchy front; a slow part that is late."""
    early = [*yard.middle_alone(), {"action": "open", "label": "1", "when": {"clock_s": 60}}]
    stored = yard.stored(early, yard.data())
    assert stored.plan.verdict is Verdict.NOT_ADMISSIBLE
    found, checked = stored.replay(TEST_20), stored.check(TEST_20)
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.reason.startswith(checked.reasons[0].requirement)
    assert "with the stated spread of permeability" in found.reason
    late = yard.stored(yard.middle_alone(), yard.data(process={"permeability_spread_percent": 90}))
    wet_s, latest_s = late.facts.wet_out_s, late.facts.spread_wet_out_s[1]
    minutes = 1.2 * wet_s / 60 / 0.7
    assert 1.2 * wet_s < latest_s
    change = {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": minutes}}
    assert late.replay(change).kind is Kind.NEW_CLOCK
    assert late.check(change).verdict is Verdict.VERIFIED


def test_a_lock_on_finer_cells_ends_a_plan(yard: Any) -> None:
    """Two lines opened together with four cells between them: by symmetry no vent drains where their fronts meet."""
    data = yard.data()
    data["search"] |= {"cell_mm": 50, "coarse_cell_mm": 50}
    data["sheet"]["outlines"][0]["border_mm"] = [[0, 0], [600, 0], [600, 900], [0, 900]]
    data["feed_lines"] = data["feed_lines"][:2]
    for line, y_mm in zip(data["feed_lines"], (350, 550), strict=True):
        line["sections"][0]["run_mm"] = [[50, y_mm], [550, y_mm]]
    for vent, y_mm in zip(data["vents"], (20, 880), strict=True):
        vent["run_mm"] = [[20, y_mm], [580, y_mm]]
    steps = [{"action": "open", "label": label, "when": {"start": True}} for label in ("1", "2")]
    steps += [{"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in ("V-NEAR", "V-FAR")]
    stored = yard.stored(steps, data)
    found, checked = stored.replay(COLD), stored.check(COLD)
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.network_runs == 7
    assert found.reason.startswith(checked.reasons[0].requirement)
    assert "on cells of half the size" in found.reason


def test_rules_of_the_shop_are_judged_again(yard: Any) -> None:
    """A sequence that does not start as given is no longer valid, whatever the resin."""
    stored = yard.stored(yard.outward(), yard.data(rules={"start": ["1"]}))
    found = stored.replay(WARM)
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.reason.startswith("1 and no other line open at the start")


def test_a_front_that_rests_is_told_in_square_metres(yard: Any) -> None:
    """A bucket 9.3 m below the mould is beyond what the air can lift (p = rho g h)."""
    stored = yard.stored(yard.middle_alone(), yard.data(supply={"surface_height_mm": -9300}))
    found, checked = stored.replay(COLD), stored.check(COLD)
    assert (found.kind, found.wet_out_after_s, found.margin_after_s) == (Kind.NO_LONGER_VALID, None, None)
    area = checked.reasons[0].by_how_much.split(";")[0]
    assert found.reason == f"all of the part must be wet: {area}"


def test_a_sequence_that_does_not_fit_its_case_is_set_aside(yard: Any) -> None:
    """Nothing is judged of labels that are not there."""
    stored = yard.stored(yard.outward(), yard.data())
    other = yard.data()
    other["vents"][0]["name"] = "V-AFT"
    found = replay(other, stored.facts, read_change(COLD))
    assert isinstance(found, CannotJudge)
    assert "V-NEAR" in found.reason


def test_a_part_is_reduced_once_for_all_its_resins(yard: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """On cells of both sizes; and again where the network changes: density, where a core takes resin up by weight."""
    reduced: list[object] = []

    def counted(part: object, **how: Any) -> Any:
        reduced.append(part)
        return reduce_part(part, **how)

    reduce_part = replaying.reduce_part
    monkeypatch.setattr(replaying, "reduce_part", counted)
    replaying._network.cache_clear()
    stored = yard.stored(yard.outward(), yard.data())
    for change in (COLD, WARM, TEST, HIGH):
        stored.replay(change)
    assert len(reduced) == 2
    heavy = {"resin": {**stored.data["resin"], "density_kg_m3": 1200}}
    stored.replay(heavy)
    assert len(reduced) == 4


def test_a_replay_crosses_into_another_process(yard: Any) -> None:
    """Function, arguments and answer are pickled; the other process says the same to the last bit."""
    stored = yard.stored(yard.outward(), yard.data())
    work = pickle.loads(pickle.dumps((replay, stored.data, stored.facts, read_change(WARM))))
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        there = pool.submit(*work).result()
    assert there == stored.replay(WARM)


def test_an_answer_is_plain_data(yard: Any) -> None:
    """As a database or a reply holds it."""
    found = yard.stored(yard.outward(), yard.data()).replay(COLD)
    assert isinstance(found, Answer)
    plain = json.loads(json.dumps(found.to_plain()))
    assert (plain["kind"], plain["way"], plain["network_runs"]) == ("new_clock", "full_run", 7)
