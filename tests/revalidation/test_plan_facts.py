"""What is kept beside a plan says what the plan says, and comes back from JSON as it was."""

from __future__ import annotations

import json
from typing import Any

import pytest

from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.revalidation.facts import facts_from_plain, facts_to_plain

MOST_BYTES = 3000
"""A column beside each of ten thousands of plans."""


def test_facts_are_those_of_the_plan(yard: Any) -> None:
    """Number by number, and the sequence as a reader of the plan has it."""
    stored = yard.stored(yard.outward(), yard.data())
    facts, plan = stored.facts, stored.plan
    assert (facts.wet_out_s, facts.gel_limit_s, facts.gel_time_s) == (plan.wet_out_s, plan.gel_limit_s, plan.gel_time_s)
    assert facts.spread_wet_out_s == plan.spread_wet_out_s
    assert facts.viscosity_pa_s == pytest.approx(plan.conditions.viscosity_mpa_s / 1000)
    assert facts.driving_pa == pytest.approx(98_800)
    assert (facts.admissible, facts.other_failure) == (True, None)
    assert facts.action_s == 15
    assert (facts.heights_matter, facts.uptake_by_weight, facts.flow_capped) == (True, True, False)
    assert facts.sequence == sequence_from_mapping(plan.model_dump(mode="json"))
    assert [step.expected_at_s for step in facts.steps] == [step.expected_at_s for step in plan.steps]


def test_facts_come_back_from_json_as_they_were(yard: Any) -> None:
    """And are small."""
    facts = yard.stored(yard.outward(), yard.data()).facts
    text = json.dumps(facts_to_plain(facts))
    assert len(text) < MOST_BYTES
    assert facts_from_plain(json.loads(text)) == facts


def test_facts_of_another_version_are_refused(yard: Any) -> None:
    """They are drawn from the plan again, not guessed at."""
    plain = facts_to_plain(yard.stored(yard.outward(), yard.data()).facts)
    with pytest.raises(ValueError, match="version 0"):
        facts_from_plain({**plain, "version": 0})


def test_heights_and_weights_that_do_not_matter_are_seen(yard: Any) -> None:
    """All at one height, a core that takes up nothing."""
    data = yard.data(supply={"surface_height_mm": 0})
    data["cores"]["grooved 12"]["surface_uptake_g_m2"] = 0
    facts = yard.stored(yard.middle_alone(), data).facts
    assert (facts.heights_matter, facts.uptake_by_weight) == (False, False)


def test_a_lock_is_kept_as_the_failure_and_lateness_is_not(yard: Any) -> None:
    """Lateness is judged anew with each gel clock; a lock goes with the pattern."""
    locked = yard.stored(yard.both_edges(), yard.data()).facts
    assert not locked.admissible
    assert (locked.other_failure or "").startswith("no region may be cut off from its vent")
    late = yard.stored(yard.middle_alone(), yard.data(process={"gel_fraction_percent": 10})).facts
    assert late.wet_out_s is not None
    assert late.wet_out_s > late.gel_limit_s
    assert (late.admissible, late.other_failure) == (False, None)
