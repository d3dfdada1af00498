"""Where mixes have gel clocks of their own, only the runs judge a change; and no more can pass than when planned."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import Verdict
from optimiser.revalidation.answer import CannotLookUp, Kind
from optimiser.revalidation.facts import facts_from_plain, facts_to_plain

MIXES = {"kind": "mixes", "mix_kg": 0.5, "minutes_per_mix": 4}


@pytest.fixture(scope="module")
def mixed(yard: Any) -> Any:
    data = yard.data(supply=MIXES)
    data["process"]["age_at_first_tap_min"] = 45
    return yard.stored(yard.outward(), data)


def gel_test(gel_time_min: float) -> dict[str, Any]:
    return {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": gel_time_min}}


def test_a_look_up_leaves_mixes_with_clocks_to_the_runs(mixed: Any) -> None:
    """When a mix is begun goes with what the run draws."""
    found = mixed.look_up(gel_test(60))
    assert isinstance(found, CannotLookUp)
    assert "a gel clock of its own" in found.reason


def test_a_first_mix_too_old_for_the_new_batch_is_found_by_the_runs(mixed: Any) -> None:
    """All is wet in six minutes, but the first mix is begun 45 minutes before: 70 min of gel time end it."""
    assert mixed.plan.verdict is Verdict.VERIFIED
    assert mixed.replay(gel_test(80)).kind is not Kind.NO_LONGER_VALID
    found = mixed.replay(gel_test(70))
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.reason.startswith("wet-out within 70% of the gel time")
    assert mixed.check(gel_test(70)).reasons[0].requirement in found.reason


def test_facts_of_timed_mixes_are_kept(mixed: Any) -> None:
    """And facts without them hold nothing new, as those that were stored before."""
    assert facts_from_plain(facts_to_plain(mixed.facts)) == mixed.facts
    assert facts_to_plain(mixed.facts)["mixes_timed"] is True


def test_facts_without_timed_mixes_say_nothing_of_them(yard: Any) -> None:
    """So that they equal what was kept by earlier versions."""
    assert "mixes_timed" not in facts_to_plain(yard.stored(yard.outward(), yard.data()).facts)
