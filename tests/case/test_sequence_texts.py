"""Sequences as documents: read, written, and refused where they cannot be played."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cases import demo_case_path
from optimiser.case.check_sequence import check_sequence
from optimiser.case.read_case import read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.case.sequence_document import sequence_to_document
from optimiser.errors import InputError
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind

SHOT = read_case(demo_case_path("flat_panel")).shot
OUTWARD = b"""
schema_version: 1
steps:
  - {action: open, label: '2', when: {start: true}}
  - {action: open, label: '1', when: {reached: '1'}}
  - {action: open, label: '3', when: {reached: '3', share_percent: 80, delay_s: 10}}
  - {action: clamp, label: V-FAR, when: {clock_s: 1500}}
"""

LABELS = st.text(st.sampled_from("123-VFARWD"), min_size=1, max_size=12)
SECONDS = st.floats(0, 86_400)
TRIGGERS = st.one_of(
    st.just(Trigger(kind=TriggerKind.START)),
    st.builds(
        Trigger,
        kind=st.sampled_from([TriggerKind.REACHED, TriggerKind.WET_UP_TO]),
        place=LABELS,
        share=st.integers(1, 100).map(lambda percent: percent / 100),
        delay_s=SECONDS,
    ),
    st.builds(Trigger, kind=st.just(TriggerKind.CLOCK), at_s=SECONDS),
)
STEPS = st.builds(Step, action=st.sampled_from(Action), label=LABELS, trigger=TRIGGERS)


def paths_of_faults(text: bytes) -> list[str]:
    return [fault.path for fault in check_sequence(read_sequence(text), SHOT)]


def test_a_sequence_is_read_as_it_is_written() -> None:
    """Whole length and no delay are meant where nothing is said."""
    steps = read_sequence(OUTWARD).steps
    assert [step.label for step in steps] == ["2", "1", "3", "V-FAR"]
    assert steps[0].trigger == Trigger(kind=TriggerKind.START)
    assert steps[1].trigger == Trigger(kind=TriggerKind.REACHED, place="1", share=1.0, delay_s=0.0)
    assert steps[2].trigger == Trigger(kind=TriggerKind.REACHED, place="3", share=0.8, delay_s=10.0)
    assert steps[3].trigger == Trigger(kind=TriggerKind.CLOCK, at_s=1500.0)


@given(st.lists(STEPS, min_size=1, max_size=6))
def test_a_sequence_survives_being_written_and_read(steps: list[Step]) -> None:
    """What goes out as a document comes back as the same sequence."""
    sequence = Sequence(steps=tuple(steps))
    again = read_sequence(sequence_to_document(sequence).model_dump_json().encode())
    for before, after in zip(sequence.steps, again.steps, strict=True):
        assert (after.action, after.label, after.trigger.kind, after.trigger.place) == (
            *(before.action, before.label, before.trigger.kind, before.trigger.place),
        )
        assert after.trigger.share == pytest.approx(before.trigger.share)
        assert (after.trigger.at_s, after.trigger.delay_s) == (before.trigger.at_s, before.trigger.delay_s)


def test_a_delay_after_the_start_is_a_clock_time() -> None:
    """The same moment, in the words a document has."""
    late = Sequence(
        steps=(Step(action=Action.OPEN, label="2", trigger=Trigger(kind=TriggerKind.START, delay_s=60)),)
    )
    written = sequence_to_document(late).model_dump(mode="json")
    assert written["steps"][0]["when"] == {"clock_s": 60}


def test_a_line_may_wait_for_itself_to_be_reached() -> None:
    """A closed line is an empty pipe in the bag: resin from its neighbour reaches it before its tap opens."""
    assert paths_of_faults(OUTWARD) == []


OPEN_2 = "{action: open, label: '2', when: {start: true}}"
UNPLAYABLE = {
    "{action: open, label: '7', when: {start: true}}": ["/steps/0/label"],
    "{action: open, label: '2', when: {reached: '1'}}": ["/steps"],
    f"{OPEN_2}, {{action: open, label: '2', when: {{clock_s: 9}}}}": ["/steps/1/label"],
    f"{OPEN_2}, {{action: open, label: V-FAR, when: {{reached: '1'}}}}": ["/steps/1/label"],
    f"{OPEN_2}, {{action: clamp, label: '2', when: {{reached: '1'}}}}": ["/steps/1/label"],
    f"{OPEN_2}, {{action: close, label: '1', when: {{reached: '1'}}}}": ["/steps/1/label"],
    f"{OPEN_2}, {{action: open, label: '1', when: {{reached: '9'}}}}": ["/steps/1/when/reached"],
    f"{OPEN_2}, {{action: open, label: '1', when: {{wet_up_to: V-FAR}}}}": ["/steps/1/when/wet_up_to"],
    f"{OPEN_2}, {{action: clamp, label: V-FAR, when: {{clock_s: 1}}}}, {{action: clamp, label: V-FAR, "
    "when: {clock_s: 2}}": ["/steps/2/label"],
    "{action: open, label: '7', when: {reached: '8'}}": ["/steps", "/steps/0/label", "/steps/0/when/reached"],
}


@pytest.mark.parametrize("steps", UNPLAYABLE)
def test_what_cannot_be_played_is_named(steps: str) -> None:
    """Unknown labels, vents opened, lines clamped, taps opened twice, nothing opened at the start."""
    assert paths_of_faults(f"steps: [{steps}]".encode()) == UNPLAYABLE[steps]


def test_a_line_may_be_opened_again_after_it_was_closed() -> None:
    """Closing makes it shut; opening it then is no repetition."""
    closed = "{action: close, label: '2', when: {clock_s: 9}}"
    opened = "{action: open, label: '2', when: {clock_s: 99}}"
    assert paths_of_faults(f"steps: [{OPEN_2}, {closed}, {opened}]".encode()) == []


@pytest.mark.parametrize(
    ("text", "path"),
    [
        (b"steps: []", "/steps"),
        (b"steps: [{action: turn, label: '2', when: {start: true}}]", "/steps/0/action"),
        (b"steps: [{action: open, label: 2, when: {start: true}}]", "/steps/0/label"),
        (b"steps: [{action: open, label: '2', when: {soon: true}}]", "/steps/0/when"),
        (b"steps: [{action: open, label: '2', when: {start: false}}]", "/steps/0/when/start"),
        (b"steps: [{action: open, label: '2', when: {reached: '1', clock_s: 3}}]", "/steps/0/when/clock_s"),
        (
            b"steps: [{action: open, label: '2', when: {reached: '1', share_percent: 0.8}}]",
            "/steps/0/when/share_percent",
        ),
        (b"verdict: verified", "/steps"),
        (OUTWARD.replace(b"schema_version: 1", b"schema_version: true"), "/schema_version"),
    ],
)
def test_a_broken_sequence_text_is_refused_at_its_place(text: bytes, path: str) -> None:
    """As for cases: pointer, found, expected."""
    with pytest.raises(InputError) as caught:
        read_sequence(text)
    assert path in {fault.path for fault in caught.value.faults}
