"""From opening times to what the crew watches for."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from optimiser.part.sequence import Action, Sequence, Step, TriggerKind
from optimiser.sequencing.triggers import clamp_when_reached, sequence_from_times


def sequence(opens_s: dict[str, float], reached_s: dict[str, float], **how: Any) -> Sequence:
    given_words = {"clamps": (), "action_s": 15.0, "slack_s": 30.0} | how
    return sequence_from_times(opens_s, reached_s, **given_words)


def step_of(found: Sequence, label: str) -> Step:
    return next(step for step in found.steps if step.label == label)


def test_lines_that_open_at_time_zero_open_at_the_start() -> None:
    """Whatever their number."""
    found = sequence({"1": 0.0, "2": 0.0}, {})
    assert found.start_labels() == ("1", "2")


def test_a_line_that_opens_as_resin_reaches_it_waits_for_its_bay() -> None:
    """Reached at 300 s, turned at 315 s by a crew that needs 15 s: wait until nothing dry is left, no longer."""
    trigger = step_of(sequence({"1": 0.0, "2": 315.0}, {"2": 300.0}), "2").trigger
    assert (trigger.kind, trigger.place, trigger.delay_s) == (TriggerKind.WET_UP_TO, "2", 0.0)


def test_a_line_that_opens_well_after_it_is_reached_waits_longer() -> None:
    """Reached at 300 s, turned at 402 s: the crew acts 87 s after, said as 90 s."""
    trigger = step_of(sequence({"1": 0.0, "2": 402.0}, {"2": 300.0}), "2").trigger
    assert (trigger.kind, trigger.place, trigger.delay_s) == (TriggerKind.WET_UP_TO, "2", 90.0)


def test_a_line_that_opens_before_it_is_reached_goes_by_the_last_line_reached() -> None:
    """Line 3 opens at 455 s, long before resin comes to it: by line 2, reached at 400 s, and 40 s more."""
    found = sequence({"1": 0.0, "2": 415.0, "3": 455.0}, {"2": 400.0, "3": 900.0})
    trigger = step_of(found, "3").trigger
    assert (trigger.kind, trigger.place, trigger.delay_s) == (TriggerKind.REACHED, "2", 40.0)


def test_a_line_that_nothing_is_reached_before_goes_by_the_clock() -> None:
    """Line 2 opens at 100 s, resin comes to it at 900 s: the crew begins at 85 s, said as 80 s or 90 s."""
    trigger = step_of(sequence({"1": 0.0, "2": 100.0}, {"2": 900.0}), "2").trigger
    assert trigger.kind is TriggerKind.CLOCK
    assert trigger.at_s in (80.0, 90.0)


def test_each_vent_is_clamped_when_resin_stands_in_it() -> None:
    """After the taps, in the order of the part."""
    found = sequence({"1": 0.0}, {}, clamps=(clamp_when_reached("V-FAR"), clamp_when_reached("V-NEAR")))
    clamps = [step for step in found.steps if step.action is Action.CLAMP]
    assert [(step.label, step.trigger.kind, step.trigger.place) for step in clamps] == [
        ("V-FAR", TriggerKind.REACHED, "V-FAR"),
        ("V-NEAR", TriggerKind.REACHED, "V-NEAR"),
    ]
    assert found.steps[-2:] == tuple(clamps)


TIMES = st.dictionaries(st.sampled_from("ABCDE"), st.integers(0, 400).map(lambda n: 5.0 * n), min_size=1)


@given(opens_s=TIMES.map(lambda times: {**times, "S": 0.0}), reached_s=TIMES)
def test_any_times_become_one_step_for_each_line_in_the_order_of_time(
    opens_s: dict[str, float], reached_s: dict[str, float]
) -> None:
    """Each line once, none before an earlier one; waits are whole tens of seconds and never negative."""
    found = sequence(opens_s, reached_s)
    labels = [step.label for step in found.steps]
    assert sorted(labels) == sorted(opens_s)
    assert [opens_s[label] for label in labels] == sorted(opens_s.values())
    for step in found.steps:
        waits = (step.trigger.delay_s, step.trigger.at_s or 0.0)
        assert all(wait >= 0 and wait % 10 == 0 for wait in waits)


@given(opens_s=TIMES.map(lambda times: {**times, "S": 0.0}), reached_s=TIMES)
def test_triggers_play_the_times_where_lines_are_reached_as_expected(
    opens_s: dict[str, float], reached_s: dict[str, float]
) -> None:
    """Event, wait and the crew's 15 s make up the opening time, within the slack of 30 s.

    A tap that should be turned sooner than the crew can is called for at once.
    """
    for step in sequence(opens_s, reached_s).steps:
        trigger = step.trigger
        if trigger.kind is TriggerKind.START:
            assert opens_s[step.label] == 0.0
            continue
        event_s = trigger.at_s if trigger.kind is TriggerKind.CLOCK else reached_s[trigger.place or ""]
        played_s = (event_s or 0.0) + trigger.delay_s + 15.0
        assert abs(played_s - opens_s[step.label]) <= 30.0 or opens_s[step.label] < 15.0
