"""Which of the near-optimal sequences is taken, and that none of it depends on who computes."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.write_plan import plan_document
from optimiser.filling import many_runs
from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan import most_robust as file
from optimiser.plan import play_scatter as play_file
from optimiser.plan.most_robust import most_robust
from optimiser.plan.plan_shot import plan_shot
from optimiser.plan.play_scatter import Played, ShotOutcome, play_scatter
from optimiser.plan.result import Verified

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


def sequence(name: str, wet_out_s: float, *, clean: bool = True, in_spread: bool = True) -> Verified:
    run: Any = SimpleNamespace(wet_out_s=wet_out_s, clean=clean)
    spread: Any = (SimpleNamespace(clean=in_spread),)
    step = Step(action=Action.OPEN, label=name, trigger=Trigger(kind=TriggerKind.START))
    return Verified(name=name, sequence=Sequence(steps=(step,)), run=run, spread_runs=spread, broken="")


@pytest.fixture
def played_first() -> dict[str, tuple[int, ...]]:
    """By sequence, the places of the variations that it was to be played in before the others."""
    return {}


@pytest.fixture
def choose(monkeypatch: pytest.MonkeyPatch, played_first: dict[str, tuple[int, ...]]) -> Any:
    """Choose among sequences, given in how many variations each would stay clean."""

    def choose(fastest: Verified, others: list[Verified], clean: dict[str, int]) -> Any:
        def play(*asked: Any, first: tuple[int, ...], **_: Any) -> dict[int, Played]:
            label = asked[5].steps[0].label
            played_first[label] = first
            return {
                k: Played(
                    outcome=ShotOutcome.CLEAN if k < clean[label] else ShotOutcome.LATE,
                    wet_out_s=1.0,
                    gel_limit_s=1.0,
                    done_s=(),
                    locked=(),
                )
                for k in range(20)
            }

        monkeypatch.setattr(file, "play_scatter", play)
        monkeypatch.setattr(file, "variations_of", lambda *_: None)
        monkeypatch.setattr(file, "judge_gel", lambda *asked: SimpleNamespace(margin_s=LIMIT_S - asked[3].wet_out_s))
        chooser: Any = SimpleNamespace(
            shot=SimpleNamespace(scatter=SCATTER, supply=SimpleNamespace(mix_s=None)),
            scenes=SimpleNamespace(resin_clock=None, full=None),
            runner=None,
        )
        return most_robust(chooser, fastest, [fastest, *others], lambda *_: None)

    return choose


def test_the_one_that_stays_clean_is_taken(choose: Any) -> None:
    """Half a minute slower on paper and clean in three variations more."""
    found = choose(sequence("fast", 900), [sequence("sure", 930)], {"fast": 15, "sure": 18})
    assert found.chosen.sequence.name == "sure"
    assert found.chosen.sequence.run.wet_out_s - found.fastest_s == 30
    assert [(one.sequence.name, one.clean) for one in found.compared] == [("sure", 18), ("fast", 15)]


def test_of_equals_the_fastest_is_taken(choose: Any) -> None:
    """Nothing is given up for nothing."""
    found = choose(sequence("fast", 900), [sequence("same", 930)], {"fast": 18, "same": 18})
    assert found.chosen.sequence.name == "fast"


def test_others_are_played_first_where_the_best_failed_and_then_where_others_did(
    choose: Any, played_first: dict[str, tuple[int, ...]]
) -> None:
    """There they are most likely to fail too, so that what cannot be better is soon given up."""
    others = [sequence("sure", 930), sequence("poor", 940), sequence("last", 950)]
    choose(sequence("fast", 900), others, {"fast": 17, "sure": 18, "poor": 15, "last": 3})
    assert played_first["fast"] == ()
    assert set(played_first["sure"]) == {17, 18, 19}
    assert list(dict.fromkeys(played_first["last"])) == [18, 19, 17, 15, 16]


def test_after_one_that_is_always_clean_none_is_played(choose: Any) -> None:
    """None could be better, and runs cost time."""
    found = choose(sequence("fast", 900), [sequence("other", 930)], {"fast": 20, "other": 20})
    assert [one.sequence.name for one in found.compared] == ["fast"]


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
    """Played where the other failed first, eight at once, and no further than it takes; played whole it is in order."""
    fails = {3, 17, 30}

    def outcome(_: Any, __: Any, scenario: int, ___: Any) -> Any:
        found = ShotOutcome.LATE if scenario in fails else ShotOutcome.CLEAN
        return SimpleNamespace(scenario=scenario, outcome=found)

    monkeypatch.setattr(play_file, "_CELLS_AT_ONCE", 0)
    monkeypatch.setattr(play_file, "scenario_scene", lambda *asked: SimpleNamespace(scene=asked[3], limits=None))
    monkeypatch.setattr(play_file, "_played", outcome)
    anything: Any = SimpleNamespace(coarse=SimpleNamespace(cell_count=1))
    runner: Any = SimpleNamespace(run=lambda _, scenes: list(scenes))
    variations: Any = SimpleNamespace(scenarios=tuple(range(40)), zones=None)

    def play(**how: Any) -> list[Any]:
        asked = (anything, SCATTER, anything, runner, variations, anything, lambda _: None)
        return [one.scenario for one in cast("Any", play_scatter(*asked, **how)).values()]

    assert play(first=(30, 12)) == play() == list(range(40))
    assert play(first=(30, 12), fewest_failures=2) == [0, 1, 2, 3, 4, 5, 12, 30]
    assert len(play(fewest_failures=3)) == 32
    assert len(play(fewest_failures=4)) == 40


def with_scenarios(panels: Any, count: int, *, process: dict[str, Any] | None = None, **search: Any) -> Any:
    data = panels.data(lines_y_mm=(250, 650), rounds=1, process=process)
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
    plan = panels.plan(lines_y_mm=(250, 650), rounds=1)
    assert plan.robustness is None
    assert "robustness" not in plan.model_dump(mode="json")
    assert '"robustness"' not in plan.model_dump_json()


def test_the_plan_says_what_it_was_held_against(panels: Any) -> None:
    """With a gel limit of nine minutes no sequence is in time on every day, so all that are near compete."""
    plan = plan_case(with_scenarios(panels, 40, process={"gel_fraction_percent": 10}, near_percent=50))
    found = plan.robustness
    assert found is not None
    assert len(found.compared) > 1
    assert [one.chosen for one in found.compared] == [True] + [False] * (len(found.compared) - 1)
    assert found.clean == found.compared[0].clean == max(one.clean for one in found.compared)
    assert found.clean + found.locked + found.late + found.never_wet + found.out_of_order == 40
    fastest_s = min(one.wet_out_s or 0.0 for one in found.compared)
    assert found.gave_up_s == pytest.approx((plan.wet_out_s or 0.0) - fastest_s)
    assert plan.wet_out_s == found.compared[0].wet_out_s
    assert [one.label for one in found.steps] == [step.label for step in plan.steps]
