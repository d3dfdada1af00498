"""Which of the near-optimal sequences is taken, and that none of it depends on who computes."""

from __future__ import annotations

from collections.abc import Sequence as Sequence_
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from optimiser.case.compared_words import compared_words
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.write_plan import plan_document
from optimiser.filling import many_runs
from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan import most_robust as file
from optimiser.plan import play_scatter as play_file
from optimiser.plan.most_robust import in_all, most_robust, replayed
from optimiser.plan.plan_shot import plan_shot
from optimiser.plan.play_scatter import Played, ShotOutcome, play_scatter
from optimiser.plan.result import Candidate, Verified

SCATTER = Scatter(
    permeability_variation={},
    scenarios=20,
    near_fraction=0.1,
    temperature_k=0.0,
    gel_time_variation=0.0,
    vacuum_pa=0.0,
    late_s=0.0,
    track_width_variation=0.0,
)
LIMIT_S = 1050.0
PANEL = {"lines_y_mm": (250, 650), "length_mm": 450, "rounds": 1}


def sequence(
    name: str, wet_out_s: float, *, clean: bool = True, in_spread: bool = True, turns: str | None = None
) -> Verified:
    """turns: the tap that it turns, if not one of its own name."""
    step = Step(action=Action.OPEN, label=name, trigger=Trigger(kind=TriggerKind.START))
    turned = (SimpleNamespace(step=SimpleNamespace(label=turns or name, action=Action.OPEN), done_s=0.0),)
    run: Any = SimpleNamespace(wet_out_s=wet_out_s, clean=clean, steps=turned)
    spread: Any = (SimpleNamespace(clean=in_spread),)
    return Verified(name=name, sequence=Sequence(steps=(step,)), run=run, spread_runs=spread, broken="")


def on_coarse(name: str, wet_out_s: float, *, clean: bool = True) -> Candidate:
    one = sequence(name, wet_out_s, clean=clean)
    run: Any = SimpleNamespace(wet_out_s=wet_out_s, clean=clean, vent_drawn_m3=np.zeros(1))
    return Candidate(name=name, sequence=one.sequence, run=run, patchy_runs=(), broken="")


def on_full(one: Candidate) -> Verified:
    """As fast there as on the coarse network, and clean in the spread."""
    return sequence(one.name, one.run.wet_out_s, clean=one.run.clean)


@pytest.fixture
def played() -> dict[str, list[int]]:
    """By sequence, the places of the variations that it was played in, in that order."""
    return {}


@pytest.fixture
def choose(monkeypatch: pytest.MonkeyPatch, played: dict[str, list[int]]) -> Any:
    """Choose among sequences, given in which of twenty variations each fails, or in how many first each stays clean."""

    def choose(
        fastest: Verified,
        others: list[Verified],
        clean: dict[str, int | set[int]],
        coarse: Sequence_[Candidate] = (),
        turned_round: Verified | None = None,
    ) -> Any:
        """coarse: what was played on the coarse network alone, best first. turned_round: played in place of what was
        chosen."""
        played.clear()

        def runs(tasks: list[Any], scenes: tuple[int, ...], each: Any) -> list[Any]:
            (label,) = {task.sequence.steps[0].label for task in tasks}
            played.setdefault(label, []).extend(scenes)
            for done in range(len(tasks)):
                each(done + 1)
            held = clean[label]
            fails = held if isinstance(held, set) else set(range(held, SCATTER.scenarios))
            return [SimpleNamespace(late=scene in fails) for scene in scenes]

        def outcome(_: Any, __: Any, run: Any, ___: Any) -> Played:
            return Played(
                outcome=ShotOutcome.LATE if run.late else ShotOutcome.CLEAN,
                wet_out_s=1.0,
                gel_limit_s=1.0,
                done_s=(),
                locked=(),
            )

        variations = SimpleNamespace(scenarios=tuple(range(SCATTER.scenarios)), zones=None)
        monkeypatch.setattr(play_file, "scenario_scene", lambda *asked: SimpleNamespace(scene=asked[3], limits=None))
        monkeypatch.setattr(play_file, "_played", outcome)
        monkeypatch.setattr(play_file, "_CELLS_AT_ONCE", 0)
        monkeypatch.setattr(play_file, "_FEWEST_AT_ONCE", 2)
        monkeypatch.setattr(file, "_FIRST_LOOK", 4)
        monkeypatch.setattr(file, "_MOST_COMPARED", 4)
        monkeypatch.setattr(file, "variations_of", lambda *_: variations)
        monkeypatch.setattr(file, "judge_gel", lambda *asked: SimpleNamespace(margin_s=LIMIT_S - asked[3].wet_out_s))
        chooser: Any = SimpleNamespace(
            shot=SimpleNamespace(scatter=SCATTER, supply=SimpleNamespace(mix_s=None), part=SimpleNamespace(vents=())),
            scenes=SimpleNamespace(resin_clock=None, full=None, coarse=SimpleNamespace(cell_count=1)),
            runner=SimpleNamespace(run=runs),
            candidates=list(coarse),
            best=lambda: next(iter(coarse), None),
            limits=None,
        )
        monkeypatch.setattr(file, "on_full", lambda _, asked, *__: [on_full(one) for one in asked])
        monkeypatch.setattr(file, "with_spread", lambda _, one, __: one)
        decided = most_robust(chooser, fastest, [fastest, *others], lambda *_: None)
        assert decided is not None
        if turned_round is not None:
            return replayed(chooser, decided, turned_round)
        return in_all(chooser, decided, lambda *_: None)

    return choose


def test_the_one_that_stays_clean_is_taken(choose: Any) -> None:
    """Half a minute slower on paper and clean in three variations more."""
    found = choose(sequence("fast", 900), [sequence("sure", 930)], {"fast": 15, "sure": 18})
    assert found.chosen.sequence.name == "sure"
    assert found.chosen.sequence.run.wet_out_s - found.fastest_s == 30
    assert [(one.sequence.name, one.given_up) for one in found.compared] == [("sure", False), ("fast", True)]
    assert found.compared[0].clean == 18


def test_one_whose_catch_pot_runs_over_is_not_taken(choose: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Clean in three variations more, with resin in the pump."""
    monkeypatch.setattr(file, "running_over", lambda _, run: {"V": 0.001} if run.wet_out_s == 930 else {})
    found = choose(sequence("fast", 900), [sequence("sure", 930)], {"fast": 15, "sure": 18})
    assert [one.sequence.name for one in found.compared] == ["fast"]


@pytest.mark.parametrize(("fails", "clean", "whole"), [({3}, 19, True), ({3, 7}, 18, True), ({0, 3, 7}, None, False)])
def test_an_order_turned_round_is_played_no_further_than_it_may_be_taken(
    choose: Any, fails: set[int], clean: int | None, whole: bool
) -> None:
    """First where the chosen one fails; with one failure more than that it is given up."""
    found = choose(
        sequence("sure", 900), [], {"sure": {3, 7}, "turned": fails}, turned_round=sequence("turned", 905)
    )
    assert found.chosen.sequence.name == "turned"
    assert (len(found.chosen.played) == 20) == whole
    if clean is not None:
        assert found.chosen.clean == clean


def test_what_it_says_of_a_faster_one_that_was_given_up(choose: Any) -> None:
    """How it fared as far as it was played; none of the others was played whole, so none is next best."""
    found = choose(sequence("fast", 900), [sequence("sure", 930)], {"fast": 15, "sure": 18})
    assert found.compared[1].given_up
    failed, played = 20 - 15, len(found.compared[1].played)
    assert compared_words(found).startswith("The fastest that holds is 0.5 min faster and failed in ")
    assert f"of the {played} that it was played in." in compared_words(found)
    assert 2 < played - found.compared[1].clean <= failed


def test_what_it_says_where_a_faster_one_by_the_clock_was_given_up(choose: Any) -> None:
    """The plan began with one by sight: it is not the fastest that holds, whoever competes."""
    found = choose(sequence("sight", 930), [sequence("clock", 900)], {"sight": 18, "clock": 17})
    assert found.chosen.sequence.name == "sight"
    assert found.chosen.sequence.run.wet_out_s - found.fastest_s == 30
    assert compared_words(found) == "The fastest that holds is 0.5 min faster and stayed clean in 17."
    sure = choose(sequence("sight", 930), [sequence("clock", 900)], {"sight": 20})
    assert compared_words(sure).startswith("It is the fastest that holds and goes by sight, and nothing can be clean")


def test_what_it_says_where_all_were_played(choose: Any) -> None:
    """Counts of both, and of the next; one that nobody was held against says so."""
    fails = {"fast": {0, 1, 2}, "sure": {3, 4}, "third": {0, 3, 5}}
    found = choose(sequence("fast", 900), [sequence("sure", 930), sequence("third", 940)], fails)
    assert "0.5 min faster and failed in 3 of the " in compared_words(found)
    same = choose(sequence("fast", 900), [sequence("other", 930)], {"fast": {1}, "other": {2}})
    assert compared_words(same) == "It is the fastest that holds; of 1 near it none stayed clean more often."
    alone = choose(sequence("fast", 900), [], {"fast": {1}})
    assert compared_words(alone).startswith("No other that was played on the full network and holds is near enough")
    sure = choose(sequence("fast", 900), [sequence("other", 930)], {"fast": 20})
    assert compared_words(sure) == "It is the fastest that holds, and nothing can be clean more often."


def test_the_first_variations_decide_and_the_chosen_one_is_played_in_all(
    monkeypatch: pytest.MonkeyPatch, choose: Any, played: dict[str, list[int]]
) -> None:
    """Of twenty the first eight: one that fails in the others alone is as good as one that does not."""
    monkeypatch.setattr(file, "_COMPARED_IN", 8)
    fails: dict[str, set[int]] = {"fast": {1, 2}, "sure": {3, 12, 15, 17}}
    found = choose(sequence("fast", 900), [sequence("sure", 930)], fails)
    assert found.chosen.sequence.name == "sure"
    assert (found.chosen.clean, found.chosen.given_up) == (16, False)
    assert max(played["fast"]) < 8
    assert compared_words(found).endswith(" The choice rests on the first 8.")
    first = choose(sequence("fast", 900), [sequence("other", 930)], {"fast": {9, 10}, "other": set()})
    assert [one.sequence.name for one in first.compared] == ["fast"]
    assert compared_words(first) == "It is the fastest that holds, and nothing can be clean more often in the first 8."


def test_of_equals_the_fastest_is_taken(choose: Any) -> None:
    """Nothing is given up for nothing."""
    found = choose(sequence("fast", 900), [sequence("same", 930)], {"fast": 18, "same": 18})
    assert found.chosen.sequence.name == "fast"


def test_the_likeliest_is_played_in_all_and_the_others_no_further_than_they_can_win(
    choose: Any, played: dict[str, list[int]]
) -> None:
    """After a first look at all, each of the others is played where the best failed and then where others did."""
    fails: dict[str, set[int]] = {"fast": {1, 2, 9}, "poor": {0, 1, 2, 3}, "sure": {12, 15}, "last": {3, 12, 15}}
    others = [sequence("poor", 930), sequence("sure", 940), sequence("last", 950)]
    found = choose(sequence("fast", 900), others, fails)
    assert found.chosen.sequence.name == "sure"
    assert sorted(played["sure"]) == list(range(20))
    assert played["poor"] == [0, 1, 2, 3]
    assert played["last"][:6] == [0, 1, 2, 3, 12, 15]
    assert len(played["last"]) == 6
    assert played["fast"][:4] == [0, 1, 2, 3]


@given(
    st.lists(st.sets(st.integers(0, 19), max_size=6), min_size=1, max_size=4),
)
@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_the_choice_is_that_of_playing_all_in_all(choose: Any, fails: list[set[int]]) -> None:
    """Whatever is spared: the fewest failures win, of equals the fastest."""
    named = [sequence(str(k), 900 + k) for k in range(len(fails))]
    found = choose(named[0], named[1:], {str(k): each for k, each in enumerate(fails)})
    best = min(range(len(fails)), key=lambda k: (len(fails[k]), k))
    assert found.chosen.sequence.name == str(best)
    assert found.chosen.clean == 20 - len(fails[best])
    assert not found.chosen.given_up


def test_after_one_that_is_always_clean_none_is_played(choose: Any) -> None:
    """None could be better, and runs cost time."""
    found = choose(sequence("fast", 900), [sequence("other", 930)], {"fast": 20, "other": 20})
    assert [one.sequence.name for one in found.compared] == ["fast"]


def test_what_was_only_played_on_the_coarse_network_competes_too(choose: Any) -> None:
    """Where the fastest fails somewhere and nothing else was verified: those that are clean and near there, best first;
    not what locks, or is too slow."""
    coarse = [
        on_coarse("fast", 900),
        on_coarse("locks", 905, clean=False),
        on_coarse("near", 920),
        on_coarse("sure", 960),
        on_coarse("slow", 991),
    ]
    found = choose(sequence("fast", 900), [], {"fast": 15, "near": 15, "sure": 19}, coarse)
    assert found.chosen.sequence.name == "sure"
    assert {one.sequence.name for one in found.compared} == {"fast", "near", "sure"}
    sure = choose(sequence("fast", 900), [], {"fast": 20}, coarse)
    assert [one.sequence.name for one in sure.compared] == ["fast"]


def test_the_same_order_by_another_name_takes_no_place(choose: Any) -> None:
    """Each tap at the same moment as planned, as the fastest or as one that competes: it is not played again."""
    others = [sequence("again", 900, turns="fast"), sequence("sure", 930), sequence("sure too", 931, turns="sure")]
    found = choose(sequence("fast", 900), others, {"fast": 15, "sure": 18})
    assert [one.sequence.name for one in found.compared] == ["sure", "fast"]


def test_only_what_holds_is_near_and_in_time_competes(choose: Any) -> None:
    """Not what locks as planned or in the spread, not what is slower than the share, not what is past the gel limit."""
    others = [
        sequence("locks", 910, clean=False),
        sequence("locks when patchy", 920, in_spread=False),
        sequence("slow", 991),
    ]
    found = choose(sequence("fast", 900), others, {"fast": 3})
    assert [one.sequence.name for one in found.compared] == ["fast"]
    late = choose(sequence("fast", 1000), [sequence("late", 1051)], {"fast": 3})
    assert [one.sequence.name for one in late.compared] == ["fast"]


def test_where_nothing_holds_nothing_is_chosen(choose: Any) -> None:
    """What the variations say of a sequence that fails is still told."""
    failing = sequence("fails", 900, in_spread=False)
    found = choose(failing, [sequence("other", 901)], {"fails": 0})
    assert [one.sequence.name for one in found.compared] == ["fails"]


def test_one_that_can_no_longer_be_better_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Played where the other failed first, two at once for each failure that it still takes, and no further than it
    takes; played whole it is in order."""
    fails = {3, 17, 30}

    def outcome(_: Any, __: Any, scenario: int, ___: Any) -> Any:
        found = ShotOutcome.LATE if scenario in fails else ShotOutcome.CLEAN
        return SimpleNamespace(scenario=scenario, outcome=found)

    monkeypatch.setattr(play_file, "_CELLS_AT_ONCE", 0)
    monkeypatch.setattr(play_file, "scenario_scene", lambda *asked: SimpleNamespace(scene=asked[3], limits=None))
    monkeypatch.setattr(play_file, "_played", outcome)
    anything: Any = SimpleNamespace(coarse=SimpleNamespace(cell_count=1))
    runner: Any = SimpleNamespace(run=lambda _, scenes, each: [each(k) or one for k, one in enumerate(scenes)])
    variations: Any = SimpleNamespace(scenarios=tuple(range(40)), zones=None)

    def play(**how: Any) -> list[Any]:
        asked = (anything, SCATTER, anything, runner, variations, anything, lambda _: None)
        return [one.scenario for one in cast("Any", play_scatter(*asked, **how)).values()]

    every = range(40)
    assert play(places=(30, 12, *every[:12], *every[13:30], *every[31:])) == play() == list(every)
    assert play(places=(30, 12, *every[:12]), fewest_failures=2) == [0, 1, 2, 3, 12, 30]
    assert len(play(fewest_failures=3)) == 32
    assert len(play(fewest_failures=4)) == 40


def with_scenarios(panels: Any, count: int, *, process: dict[str, Any] | None = None, **search: Any) -> Any:
    data = panels.data(**PANEL, process=process)
    data["search"] |= {"scenarios": count, **search}
    return case_from_mapping(data)


def test_one_worker_and_two_play_the_variations_alike(panels: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the byte, also where worker processes are started."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)
    case = with_scenarios(panels, 20)
    one, two = (plan_document(case, plan_shot(case.shot, workers=workers)) for workers in (1, 2))
    assert one.model_dump_json() == two.model_dump_json()
    assert one.robustness is not None


def test_a_plan_without_variations_says_nothing_of_them(panels: Any) -> None:
    """Nor does its document, so that plans written before are written again to the byte."""
    plan = panels.plan(**PANEL)
    assert plan.robustness is None
    assert "robustness" not in plan.model_dump(mode="json")
    assert '"robustness"' not in plan.model_dump_json()


def test_the_plan_says_what_it_was_held_against(panels: Any) -> None:
    """With a gel limit of nine minutes no sequence is in time on every day, so all that are near compete."""
    plan = plan_case(with_scenarios(panels, 20, process={"gel_fraction_percent": 10}, near_percent=50))
    found = plan.robustness
    assert found is not None
    assert len(found.compared) > 1
    assert [one.chosen for one in found.compared] == [True] + [False] * (len(found.compared) - 1)
    assert found.clean == found.compared[0].clean == max(one.clean for one in found.compared)
    assert found.clean + found.locked + found.late + found.never_wet + found.out_of_order == 20
    fastest_s = min(one.wet_out_s or 0.0 for one in found.compared)
    assert found.gave_up_s == pytest.approx((plan.wet_out_s or 0.0) - fastest_s)
    assert plan.wet_out_s == found.compared[0].wet_out_s
    assert [one.label for one in found.steps] == [step.label for step in plan.steps]
