"""Openings that do not wait until all is wet: sooner, and no less safe in laminates that are not as planned."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cases import demo_case_path
from optimiser.case.read_case import read_case
from optimiser.filling.many_runs import Runner, Task
from optimiser.part.sequence import Action, Sequence, TriggerKind
from optimiser.plan.choose import Chooser
from optimiser.plan.part_way import SHARES, part_way
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.scenes import Scenes, scenes_of
from optimiser.sequencing.by_hand import bay_by_bay_from


@pytest.fixture(scope="module")
def scenes() -> Scenes:
    return scenes_of(read_case(demo_case_path("hatch_cover")).shot)


@pytest.fixture(scope="module")
def found(scenes: Scenes) -> tuple[Candidate, list[Candidate], dict[Sequence, tuple[bool, ...]]]:
    """Bay by bay from the middle line; what opens sooner than that; and for each of them, and for half of each bay,
    whether it is clean in each of the patchy laminates."""
    shot = scenes.shot
    with Runner(scenes.all, workers=1) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=lambda *_: None)
        chooser.play([bay_by_bay_from(shot.part, ("2",), "bay by bay")], "by hand", (0.0, 0.0))
        (waits,) = chooser.candidates
        chosen = Verified(name=waits.name, sequence=waits.sequence, run=waits.run, spread_runs=(), broken="")
        sooner = part_way(chooser, chosen, "sooner", 0.0, late=False)
        laminates = scenes.more_patchy
        asked = (waits.sequence, _at_half(waits.sequence), *(one.sequence for one in sooner))
        clean = {
            one: tuple(
                run.clean
                for run in runner.run(
                    [Task(scene=k, sequence=one, limits=chooser.limits) for k in range(len(laminates))],
                    scenes=laminates,
                )
            )
            for one in asked
        }
    return waits, sooner, clean


def test_what_opens_sooner_is_as_safe_as_what_waits(
    found: tuple[Candidate, list[Candidate], dict[Sequence, tuple[bool, ...]]],
) -> None:
    """Each wins a twentieth at least, and is clean in every laminate in which the order that waits is."""
    waits, sooner, clean = found
    assert sooner
    for one in sooner:
        assert one.run.wet_out_s <= 0.95 * waits.run.wet_out_s
        assert all(now or not then for now, then in zip(clean[one.sequence], clean[waits.sequence], strict=True))


def test_the_boldest_is_refused(found: tuple[Candidate, list[Candidate], dict[Sequence, tuple[bool, ...]]]) -> None:
    """Half of each bay would be faster still, and locks air in a laminate that the order that waits gets through."""
    waits, sooner, clean = found
    half = _at_half(waits.sequence)
    assert all(one.sequence != half for one in sooner)
    assert any(then and not now for now, then in zip(clean[half], clean[waits.sequence], strict=True))


def test_laminates_that_vary_from_place_to_place_only_where_the_case_says_so(scenes: Scenes) -> None:
    """None where patchiness is 0: all would be the planned one."""
    process = replace(scenes.shot.process, permeability_patchy_fraction=0.0)
    assert scenes.more_patchy
    assert scenes_of(replace(scenes.shot, process=process)).more_patchy == ()


def _at_half(sequence: Sequence) -> Sequence:
    return Sequence(
        steps=tuple(
            replace(step, trigger=replace(step.trigger, share=min(SHARES)))
            if step.action is Action.OPEN and step.trigger.kind is not TriggerKind.START
            else step
            for step in sequence.steps
        )
    )
