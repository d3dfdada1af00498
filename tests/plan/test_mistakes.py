"""Single mistakes of the crew: what is played, what comes of it where the law is known, what the plan says."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import yaml

from cases import demo_case_path
from optimiser.case.lock_words import line_and_vent
from optimiser.case.mistake_results import draws_on_of
from optimiser.case.mistake_words import does, moment_of_gel, past_stop_time
from optimiser.case.mistakes_document import MistakeResult, Mistakes
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.shown_label import shown_label
from optimiser.filling.fill_run import RunsOn
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.many_runs import Runner, Scene, run_scene
from optimiser.filling.simulate import FillLimits
from optimiser.filling.tap_play import DueStep
from optimiser.network.reduce_part import reduce_part
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Crew
from optimiser.plan.draws_on import DrawsOn
from optimiser.plan.harm import Harm, Severity
from optimiser.plan.mistakes import LATE_BY_S, Mistake, MistakeKind, mistakes_in, with_mistake
from optimiser.plan.play_mistakes import MistakePlayer, PlayedMistakes, worst_of_each_step
from optimiser.plan.scenes import Scenes

PANEL = {"lines_y_mm": (250, 650), "length_mm": 450, "rounds": 1, "mistakes": None}
METRE_S = 0.5 * 0.25 / (2 * 1e-9 * 9e4)
"""One metre from an open line: phi mu L2 / (2 K dp), Darcy's law and volume balance; derived."""


@pytest.fixture(scope="module")
def strip(mould: Any) -> PlayedMistakes:
    """Two metres, lines at 0 and 1 m, the second opened as it is reached; hands cost no time."""
    network = mould.reduce(mould.strip(2.0, 160, mould.laminate(), lines_at_m=(0.0, 1.0)), 2.0 / 160)
    drive = Drive(supply_pressure_pa=9e4, most_flow_m3_s=None, resin_density_kg_m3=1100.0)
    clock, crew = FluidityClock.of_constant_viscosity(0.25), Crew(hands=1, action_s=0.0)
    scene = Scene(network=network, drive=drive, clock=clock, crew=crew)
    no_clock: Any = None  # the limit is given
    scenes = Scenes(shot=no_clock, all=(scene, scene), resin_clock=no_clock)
    sequence = Sequence(steps=(*mould.open_at_start("0"), mould.open_on_reach("1")))
    limits = FillLimits(longest_s=1e5, smallest_lock_m2=1e-6)
    run = run_scene(scene, sequence, limits)
    told: list[float] = []
    with Runner(scenes.all, workers=1) as runner:
        player = MistakePlayer(scenes=scenes, runner=runner, limits=limits)
        return player.play(sequence, run, limit_s=3.5 * METRE_S, each=told.append)


def later_s(strip: PlayedMistakes, kind: MistakeKind, step: int) -> float:
    (found,) = [one for one in strip.played if one.mistake.kind is kind and one.mistake.step == step]
    return found.harm.later_s


def test_a_forgotten_line_costs_what_darcy_says(strip: PlayedMistakes) -> None:
    """Two metres from one line take four times a metre, in turn they take two: 2 phi mu L2 / (2 K dp) more."""
    assert later_s(strip, MistakeKind.SKIPPED, 1) == pytest.approx(2 * METRE_S, rel=0.01)


def test_a_late_line_costs_what_darcy_says(strip: PlayedMistakes) -> None:
    """The front goes on from the first line to x; from the second it has 1 - (x - 1)2 of a metre's time to go."""
    late = METRE_S + LATE_BY_S
    x_m = math.sqrt(late / METRE_S)
    expected = late + METRE_S * (1 - (x_m - 1) ** 2) - 2 * METRE_S
    assert later_s(strip, MistakeKind.LATE, 1) == pytest.approx(expected, rel=0.02)


def test_the_first_tap_late_moves_all_by_as_much(strip: PlayedMistakes) -> None:
    """Nothing else depends on the clock."""
    assert later_s(strip, MistakeKind.LATE, 0) == pytest.approx(LATE_BY_S, abs=1.0)


def test_a_first_tap_forgotten_harms_nothing_yet(strip: PlayedMistakes) -> None:
    """No resin flows, which is seen at once: it is not the worst of its step."""
    worst = worst_of_each_step(strip.played)[0]
    skipped = next(one for one in strip.played if one.mistake == Mistake(kind=MistakeKind.SKIPPED, step=0))
    assert skipped.harm.severity is Severity.NOTHING_FLOWS
    assert worst is not skipped


def test_what_ends_after_the_limit_is_too_late(strip: PlayedMistakes) -> None:
    """Four metres' time against a limit of three and a half; near a limit it is played on the full network again."""
    forgotten = next(one for one in strip.played if one.mistake == Mistake(kind=MistakeKind.SKIPPED, step=1))
    assert forgotten.harm.severity is Severity.TOO_LATE


def test_a_mistake_changes_its_steps_alone(mould: Any) -> None:
    """Forgotten: gone. Mixed up: each at the call of the other. Late: five minutes after its call."""
    first, second, third = (*mould.open_at_start("0"), mould.open_on_reach("1"), mould.open_on_reach("2"))
    sequence = Sequence(steps=(first, second, third))
    assert with_mistake(sequence, Mistake(kind=MistakeKind.SKIPPED, step=1)).steps == (first, third)
    mixed = with_mistake(sequence, Mistake(kind=MistakeKind.SWAPPED, step=0, other=1)).steps
    assert mixed == (
        Step(action=second.action, label="1", trigger=first.trigger),
        Step(action=first.action, label="0", trigger=second.trigger),
        third,
    )
    late = with_mistake(sequence, Mistake(kind=MistakeKind.LATE, step=2)).steps
    assert late[:2] == (first, second)
    assert late[2].trigger.delay_s == LATE_BY_S
    late_start = with_mistake(sequence, Mistake(kind=MistakeKind.LATE, step=0)).steps[0].trigger
    assert (late_start.kind, late_start.at_s) == (TriggerKind.CLOCK, LATE_BY_S)


def test_taps_of_the_start_are_not_mixed_up(mould: Any) -> None:
    """Both are open before resin comes to either; each is mixed up with the next where that comes later."""
    steps = (*mould.open_at_start("0", "1"), mould.open_on_reach("2"))
    done = tuple(DueStep(index=k, step=step, called_s=9.0 * k, done_s=9.0 * k) for k, step in enumerate(steps))
    mixed = [(one.step, one.other) for one in mistakes_in(done) if one.kind is MistakeKind.SWAPPED]
    assert mixed == [(1, 2)]


# ---- in the plan -------------------------------------------------------------------------------------------


def mistakes_of(plan: PlanDocument) -> Mistakes:
    assert plan.mistakes is not None
    return plan.mistakes


@pytest.fixture(scope="module")
def plan(panels: Any) -> PlanDocument:
    found: PlanDocument = panels.plan(**PANEL)
    assert found.verdict is Verdict.VERIFIED
    return found


def test_each_step_has_one_worst_mistake(plan: PlanDocument) -> None:
    """Every step of the plan, in its order."""
    worst = [one.step for one in mistakes_of(plan).results if one.worst_of_step]
    assert worst == [step.order for step in plan.steps]


def test_what_stays_dry_is_never_in_time(plan: PlanDocument) -> None:
    """A place that air was locked in is not wet by any time: no margin, however soon all else was wet."""
    locking = [one for one in mistakes_of(plan).results if one.locked_regions]
    assert locking
    for one in locking:
        assert one.dry_m2 > 0
        assert not one.in_time
        assert (one.wet_out_later_s, one.gel_margin_s) == (None, None)


def test_a_mistake_checked_as_a_sequence_does_the_same(plan: PlanDocument, panels: Any) -> None:
    """Written out by hand and played by the check, on cells that are as coarse: wet-out and litres agree."""
    results, played = mistakes_of(plan).results, 0
    for one in results:
        steps = [document_step(step) for step in plan.steps]
        place = one.step - 1
        if one.mistake == "skipped":
            del steps[place]
        elif one.mistake == "late":
            steps[place]["when"] = later(steps[place]["when"])
        else:
            mine, other = steps[place]["when"], steps[place + 1]["when"]
            steps[place]["when"], steps[place + 1]["when"] = other, mine
            steps[place], steps[place + 1] = steps[place + 1], steps[place]
        if not any("start" in step["when"] and step["action"] == "open" for step in steps):
            continue  # the check asks for a tap that opens at the start
        checked = panels.check(steps, **PANEL)
        played += 1
        assert same_outcome(one, checked, plan), one.happens
    assert played >= len(results) - 3


def same_outcome(one: MistakeResult, checked: PlanDocument, plan: PlanDocument) -> bool:
    litres = sum(lock.pore_litres for lock in checked.locked if lock.fails)
    if one.wet_out_later_s is None or checked.wet_out_s is None or plan.wet_out_s is None:
        never = checked.wet_out_s is None or litres > 0
        return one.wet_out_later_s is None and never and litres == pytest.approx(one.locked_litres, rel=1e-6)
    return (checked.wet_out_s - plan.wet_out_s, litres) == pytest.approx(
        (one.wet_out_later_s, one.locked_litres), rel=1e-6, abs=1e-6
    )


def document_step(step: Any) -> dict[str, Any]:
    trigger = step.trigger
    when: dict[str, Any] = {"start": True}
    if trigger.kind == "clock":
        when = {"clock_s": trigger.at_s}
    elif trigger.kind != "start":
        when = {trigger.kind: trigger.place, "share_percent": 100 * trigger.share, "delay_s": trigger.delay_s}
    return {"action": step.action, "label": step.label, "when": when}


def later(when: dict[str, Any]) -> dict[str, Any]:
    if "delay_s" in when:
        return {**when, "delay_s": when["delay_s"] + 300}
    return {"clock_s": when.get("clock_s", 0) + 300}


def test_the_setting_leaves_them_out(panels: Any) -> None:
    """And out of the written plan, as in plans of earlier versions; unsaid, it stands in no digest."""
    data = panels.data(**PANEL)
    data["search"]["mistakes"] = False
    without = panels.plan_of(data)
    assert "mistakes" not in without.model_dump()
    told = {"effort", "mistakes", "case_digest"}
    assert without.model_dump(exclude=told) == panels.plan(**PANEL).model_dump(exclude=told)
    assert "mistakes" not in panels.case(**PANEL).document.model_dump()["search"]


def test_a_check_plays_them_when_asked(panels: Any) -> None:
    """Else the check of a sequence stays as quick as it is."""
    data, steps = panels.data(**PANEL), panels.outward(("1", "2"), ("1",))
    data["search"]["mistakes"] = True
    asked = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    assert asked.verdict is Verdict.VERIFIED
    assert {one.label for one in mistakes_of(asked).results} == {step["label"] for step in steps}
    assert panels.check(steps, **PANEL).mistakes is None


def test_a_plan_that_is_not_verified_has_none(panels: Any) -> None:
    """It has no orders to be mistaken in."""
    plan = panels.plan(rules={"start": ["1", "3"]}, rounds=1, mistakes=None, edge_to_edge=True, length_mm=600)
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    assert plan.mistakes is None


def test_steps_due_together_are_named(plan: PlanDocument) -> None:
    """Whatever is called for within the time of one tap stands in one group, and nothing else does."""
    timed = [step for step in plan.steps if step.trigger.kind != "start"]
    for group in mistakes_of(plan).close:
        assert len(group.steps) > 1
        assert group.within_s < (len(group.steps) - 1) * plan.conditions.seconds_per_action
        assert group.hands_suffice == (len(group.steps) <= plan.conditions.hands)
        assert set(group.labels) <= {step.label for step in timed}
        named = {step.label: shown_label(step.label, step.kind) for step in timed}
        assert group.must_not_wait is None or f"({named[group.must_not_wait]})" in group.says


@pytest.mark.parametrize(("runs_out", "said"), [(False, "54 kg more run"), (True, "until the RESIN RUNS OUT")])
def test_no_more_resin_runs_off_than_there_is(runs_out: bool, said: str) -> None:
    """A run never lacks resin; where it draws more than is bought, its kilograms are not told."""
    harm = Harm(severity=Severity.FAILS, locked_m3=0.0, dry_m2=1.0, later_s=math.inf, vents_draw_more_m3=0.05)
    step = Step(label="1", action=Action.OPEN, trigger=Trigger(kind=TriggerKind.START))
    told = does(
        MistakeKind.SKIPPED, step, harm, [], margin_s=0.0, limit_s=600.0, vents_draw_more_kg=54.0, runs_out=runs_out
    )
    assert said in told
    assert ("54" in told) is not runs_out


@pytest.mark.parametrize(
    ("kind", "runs_out_s", "said"),
    [
        (MistakeKind.SKIPPED, None, "run on into its pot until it is clamped, 4.4 kg by gel, min 66"),
        (MistakeKind.LATE, None, "up to 0.5 kg a minute run on into its pot until it is clamped, 4.4 kg in all"),
        (MistakeKind.SKIPPED, 1919.0, "until it is clamped: the RESIN RUNS OUT at min 31"),
    ],
)
def test_what_runs_on_after_wet_out_is_told(kind: MistakeKind, runs_out_s: float | None, said: str) -> None:
    """4 litres at 1100 kg/m3 are 4.4 kg, 0.45 litres a minute 0.495 kg: kilograms go up, the minute down."""
    harm = Harm(severity=Severity.TIME, locked_m3=0.0, dry_m2=0.0, later_s=0.0, vents_draw_more_m3=0.0)
    step = Step(action=Action.CLAMP, label="V", trigger=Trigger(kind=TriggerKind.REACHED, place="V"))
    on = DrawsOn(flow_m3_s=0.45e-3 / 60, drawn_m3=4e-3, runs_out_s=runs_out_s)
    told = does(
        kind,
        step,
        harm,
        [],
        margin_s=60.0,
        limit_s=600.0,
        vents_draw_more_kg=0.0,
        runs_out=False,
        on=on,
        density_kg_m3=1100.0,
        gel=moment_of_gel(4_199.0, 200.0),
    )
    assert told.endswith(said)
    assert "after ALL WET up to 0.5 kg a minute" in told


def test_the_moment_of_gel_is_told_on_the_clock_of_the_sheet() -> None:
    """Minute 0 is the first tap, so 70 min of gel less 3.3 min of age; where the age is not counted, from initiator."""
    assert moment_of_gel(4_200.0, 198.0) == "gel, min 66"
    assert moment_of_gel(4_200.0, None) == "gel, 70 min after initiator in"


def test_what_is_drawn_until_gel_is_less_by_the_age_at_the_first_tap() -> None:
    """One litre a minute from minute 10 until gel at 70 min, of which 20 are spent at the first tap: 40 litres."""
    nothing = SimpleNamespace(injected_m3=np.zeros(1))
    run = SimpleNamespace(end_s=600.0, history=nothing, runs_on=RunsOn(flow_m3_s=1e-3 / 60, until_s=math.inf))
    result: Any = SimpleNamespace(scenes=SimpleNamespace(gel_time_s=4_200.0))
    one: Any = SimpleNamespace(run=run, mistake=Mistake(kind=MistakeKind.SKIPPED, step=0))
    clamp = Step(action=Action.CLAMP, label="V", trigger=Trigger(kind=TriggerKind.START))
    for age_s, litres in ((0.0, 60.0), (1_200.0, 40.0)):
        drawn = draws_on_of(result, one, clamp, resin_m3=1.0, age_s=age_s)
        assert drawn is not None
        assert drawn.drawn_m3 == pytest.approx(litres * 1e-3)


@pytest.mark.parametrize(
    ("later_min", "age_counted", "said"),
    [
        (0.0, True, None),
        (9.0, True, None),
        (11.0, True, "PAST STOP TIME in the slow case"),
        (0.0, False, None),
        (4.0, False, "PAST STOP TIME in the slow case if the first tap comes more than 6 min after initiator in"),
        (9.5, False, "PAST STOP TIME in the slow case"),
        (math.inf, True, "PAST STOP TIME in the slow case"),
    ],
)
def test_a_mistake_that_passes_the_stop_time_is_marked(later_min: float, age_counted: bool, said: str | None) -> None:
    """Limit 70 min, all wet at 60 in the slow case: ten are left for a mistake, and for the age if not counted."""
    told = past_stop_time(60 * later_min, slow_s=3_600.0, limit_s=4_200.0, age_counted=age_counted)
    assert told == said
    harm = Harm(severity=Severity.TIME, locked_m3=0.0, dry_m2=0.0, later_s=240.0, vents_draw_more_m3=0.0)
    step = Step(action=Action.OPEN, label="1", trigger=Trigger(kind=TriggerKind.START))
    words = does(
        MistakeKind.LATE,
        step,
        harm,
        [],
        margin_s=60.0,
        limit_s=600.0,
        vents_draw_more_kg=0.0,
        runs_out=False,
        stop=told,
    )
    assert words == "no air closes in, wet 4 min later" + (f": {said}" if said else "")


def test_a_lock_between_a_line_and_a_vent_is_told_there() -> None:
    """Whosever resin closed it: line 1 lies at y 300, the vent at 20, so 140 is between them and 600 between lines."""
    part = case_from_mapping(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8"))).shot.part
    network = reduce_part(part, cell_m=0.2, manifold_height_m=0.0, manifold_volume_m3=0.0)
    at_y = {y_m: np.flatnonzero(np.abs(network.y_m[: network.cell_count] - y_m) < 0.11) for y_m in (0.14, 0.6)}
    locks: dict[float, Any] = {y_m: SimpleNamespace(nodes=cells) for y_m, cells in at_y.items()}
    assert line_and_vent(network, locks[0.14]) == ("1", "V-NEAR")
    assert line_and_vent(network, locks[0.6]) is None
    lock: Any = SimpleNamespace(closed_by=("1", "2"))
    harm = Harm(severity=Severity.FAILS, locked_m3=2e-3, dry_m2=1.0, later_s=0.0, vents_draw_more_m3=0.0)
    step = Step(label="3", action=Action.OPEN, trigger=Trigger(kind=TriggerKind.START))
    for beside, said in ((("1", "V-NEAR"), "between line 1 and vent V-NEAR"), (None, "between lines 1 and 2")):
        told = does(
            MistakeKind.SWAPPED,
            step,
            harm,
            [lock],
            margin_s=60.0,
            limit_s=600.0,
            vents_draw_more_kg=0.0,
            runs_out=False,
            beside=beside,
        )
        assert told == f"AIR CLOSES IN {said}, 2 litres"


@pytest.mark.parametrize(
    ("litres", "said"), [(0.004, "0.01 litres"), (0.93, "1 litre"), (1.04, "1 litre"), (3.6, "4 litres")]
)
def test_litres_are_told_rounded_up_in_good_english(litres: float, said: str) -> None:
    """One litre is no litres."""
    harm = Harm(severity=Severity.FAILS, locked_m3=1e-3 * litres, dry_m2=1.0, later_s=0.0, vents_draw_more_m3=0.0)
    step = Step(label="3", action=Action.OPEN, trigger=Trigger(kind=TriggerKind.START))
    lock: Any = SimpleNamespace(closed_by=("1", "2"))
    told = does(
        MistakeKind.LATE, step, harm, [lock], margin_s=0.0, limit_s=1.0, vents_draw_more_kg=0.0, runs_out=False
    )
    assert told.endswith(f", {said}")


def test_the_last_clamp_forgotten_draws_on(plan: PlanDocument) -> None:
    """A run ends at wet-out; its vent does not: it draws at least what five minutes let through, and not all."""
    last = [one for one in mistakes_of(plan).results if one.step == len(plan.steps)]
    litres = {one.mistake: one.vents_draw_more_litres for one in last}
    bought = plan.resin.total_kg / plan.conditions.resin_density_kg_per_m3 * 1e3
    assert 0 < litres["late"] <= litres["skipped"] < bought
    assert all("after ALL WET up to" in one.does for one in last)


def test_a_mistake_of_a_plan_runs_out_only_where_more_is_drawn_than_bought(plan: PlanDocument) -> None:
    """By mass balance: what is bought is the plan's own draw and the reserve, so no more than that can run off."""
    litres = plan.resin.total_kg / plan.conditions.resin_density_kg_per_m3 * 1e3
    for one in mistakes_of(plan).results:
        assert "more run into" not in one.does or one.vents_draw_more_litres < litres
