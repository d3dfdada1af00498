"""Each demo keeps the promises of its page."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
import yaml

from benchmarks.pages import page_of
from cases import demo_case_names, demo_case_path
from optimiser.case.check_sequence import check_sequence
from optimiser.case.plan_document import Verdict
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping, read_case
from optimiser.case.read_sequence import read_sequence, sequence_from_mapping
from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import run_scene
from optimiser.part.sequence import Sequence
from optimiser.plan.scenes import FULL, SPREADS, Scenes, limits_of, scenes_of
from optimiser.run_sheet.proof_words import with_line_words
from optimiser.sequencing.by_hand import line_groups, on_reach_from

PLANNED = ["flat_panel", "slow_island"]
AS_PLANNED = ["deck_cutout", "hatch_cover", "hull_side"]
"""Take longer to plan: the order that was chosen is played. That it is chosen, `python -m benchmarks.pages` says."""
LATE = "too_late"

SAME_RUN_S = 1.0
"""A plan read back and played again is the same run; times in the file are shown to a second."""


def demo_data(name: str) -> Any:
    return yaml.safe_load(demo_case_path(name).read_text(encoding="utf-8"))


def test_every_demo_is_held_to_its_page() -> None:
    """A demo that is added has to be listed here."""
    assert demo_case_names() == sorted([*PLANNED, *AS_PLANNED, LATE])


@pytest.mark.parametrize("name", [*PLANNED, *AS_PLANNED])
def test_a_verified_demo_is_clean_and_in_time(demos: Any, name: str) -> None:
    """Exit code 0, no reason against it, nothing locked that matters, wet before the gel limit."""
    answer = demos.plan(name) if name in PLANNED else demos.as_planned(name)
    plan = answer.plan
    assert answer.exit_code == 0
    assert plan.verdict is Verdict.VERIFIED
    assert plan.reasons == []
    assert not any(region.fails for region in plan.locked)
    assert plan.wet_out_s < plan.gel_limit_s


@pytest.mark.parametrize("name", PLANNED)
def test_no_admissible_order_that_was_played_in_full_is_faster(demos: Any, name: str) -> None:
    """Ties within a second are settled by the number of actions."""
    answer = demos.plan(name)
    full = [one for one in answer.plan.candidates if one.admissible and "coarse" not in one.remark]
    assert answer.plan.wet_out_s <= min(one.wet_out_s for one in full) + SAME_RUN_S


@pytest.mark.parametrize("name", PLANNED)
def test_all_taps_at_once_locks_air_in_every_verified_demo(demos: Any, name: str) -> None:
    """It would be wet long before, so it is not the clock that speaks against it."""
    answer = demos.plan(name)
    at_once = answer.candidate("all taps at once")
    assert at_once.wet_out_s < answer.plan.wet_out_s
    resin = answer.plan.resin
    in_part_kg = resin.laminate_kg + resin.core_kg + resin.flow_mesh_kg
    assert at_once.locked_litres * answer.plan.conditions.resin_density_kg_per_m3 * 1e-3 > 0.02 * in_part_kg


def test_the_flat_panel_says_where_all_taps_at_once_lock(demos: Any) -> None:
    """Litres, places and the largest of them, in the result and on the run sheet."""
    answer = demos.plan("flat_panel")
    at_once = answer.candidate("all taps at once")
    assert at_once.locked_regions > 1
    (said,) = [line for line in answer.plan.proof.usual_rules if line.startswith("All taps at once")]
    litres, places = re.findall(r"lock ([\d.]+) litres in (\d+) places, the largest at x [\d.]+ m, y [\d.]+ m", said)[0]
    assert float(litres) == pytest.approx(at_once.locked_litres, rel=0.05)  # said with two digits
    assert int(places) == at_once.locked_regions
    assert said in answer.said
    assert with_line_words(said) in (answer.folder / "run_sheet.html").read_text(encoding="utf-8")


def test_hull_side_lists_where_all_taps_at_once_lock() -> None:
    """The page's five places, and its largest in litres."""
    at_once = read_sequence(demo_case_path("hull_side").with_name("all_at_once.yaml"))
    run = played(scenes_of(read_case(demo_case_path("hull_side")).shot), FULL, at_once)
    listed = page_of("hull_side").partition("locks five regions")[2].partition("It lies beside")[0]
    places = re.findall(r"\(x ([\d.]+) m, y ([\d.]+) m\)", listed)
    litres = [float(one) for one in re.findall(r"([\d.]+) litres?(?: each)?$", listed, flags=re.MULTILINE)]
    failing = [one for one in run.locks if one.fails]
    assert len(places) == len(failing) == 5
    for x_m, y_m in places:
        assert any(math.dist((one.x_m, one.y_m), (float(x_m), float(y_m))) < 0.1 for one in failing)
    assert max(litres) == pytest.approx(1e3 * max(one.pore_m3 for one in failing), rel=0.1)


def test_the_all_at_once_sequence_of_hull_side_opens_every_tap_at_the_start() -> None:
    """The file beside the case is what its page says, and fits the case."""
    shot = read_case(demo_case_path("hull_side")).shot
    sequence = read_sequence(demo_case_path("hull_side").with_name("all_at_once.yaml"))
    assert not check_sequence(sequence, shot)
    assert set(sequence.start_labels()) == {line.label for line in shot.part.feed_lines}


def test_the_usual_rule_locks_the_slow_island_and_the_plan_does_not(demos: Any) -> None:
    """Outward on reach from the middle line, the order that most crews would take, is not the one that is chosen."""
    answer = demos.plan("slow_island")
    usual = answer.candidate("outward on reach from 2")
    assert not usual.admissible
    assert usual.locked_litres > 0.01
    assert answer.chosen.name != usual.name
    assert answer.chosen.locked_litres == 0
    assert answer.plan.steps[0].label == "1"


def test_the_plan_of_the_slow_island_says_why_not_the_usual_rule(demos: Any) -> None:
    """One line at the command line and on the run sheet: how much, where, and what closes it."""
    answer = demos.plan("slow_island")
    (why,) = [line for line in answer.plan.proof.usual_rules if "outward on reach from 2" in line.lower()]
    assert re.search(r"would lock 0\.\d+ litres at x 2\.\d+ m, y 0\.[34]\d m, closed by 2 at minute \d+", why)
    assert why in answer.said
    assert with_line_words(why) in (answer.folder / "run_sheet.html").read_text(encoding="utf-8")


def test_the_usual_rule_checked_on_the_slow_island_fails_on_the_pad(demos: Any) -> None:
    """Exit code 3; the locked region is larger than what matters and lies within the pad of the case."""
    data = demo_data("slow_island")
    checked = demos.check("slow_island", demo_case_path("slow_island").with_name("on_reach_from_2.yaml"))
    assert checked.exit_code == 3
    (region,) = [one for one in checked.plan.locked if one.fails]
    assert region.area_cm2 > data["process"]["smallest_lock_cm2"]
    (x_low, y_low), _, (x_high, y_high), _ = next(area["border_mm"] for area in data["areas"] if area["name"] == "pad")
    assert x_low < region.x_mm < x_high
    assert y_low < region.y_mm < y_high


def test_the_hatch_cover_says_what_its_case_knows(demos: Any) -> None:
    """Vents that did not stand full, plies thicker than dry, the gap on the map; by how much as the page says."""
    answer = demos.as_planned("hatch_cover")
    assert all(vent.flooded_at_s is None for vent in answer.plan.vents)
    (cover,) = answer.plan.thickness
    assert cover.wet_mm[1] > cover.held_mm
    (kilograms,) = re.findall(r"that ([\d.]+) kg of resin", page_of("hatch_cover"))
    assert cover.bleeds_kg == pytest.approx(float(kilograms), abs=0.05)
    assert [track.name for track in answer.plan.map.race_tracks] == ["aft flange"]


@pytest.mark.parametrize("line", ["1", "3"])
def test_edge_to_edge_locks_behind_the_hatch(line: str) -> None:
    """From either long edge of the deck, on reach."""
    shot = read_case(demo_case_path("deck_cutout")).shot
    run = played(scenes_of(shot), FULL, on_reach_from(shot.part, line_groups(shot.part)[line], "edge to edge").sequence)
    assert run.locked_pore_m3 > 2e-5


def test_the_usual_rule_is_not_the_one_to_take_on_the_deck(demos: Any) -> None:
    """Clean as planned and about as fast, but it may lock where the permeability is patchy."""
    shot = read_case(demo_case_path("deck_cutout")).shot
    usual, scenes = on_reach_from(shot.part, line_groups(shot.part)["2"], "outward on reach").sequence, scenes_of(shot)
    run = played(scenes, FULL, usual)
    assert run.wet_out_s == pytest.approx(demos.as_planned("deck_cutout").plan.wet_out_s, rel=0.05)
    assert run.locked_pore_m3 == 0
    assert any(played(scenes, scene, usual).locked_pore_m3 > 0 for scene in SPREADS)


def played(scenes: Scenes, scene: int, sequence: Sequence) -> FillRun:
    """On the full network, as it is or in one of the spread."""
    return run_scene(scenes.all[scene], sequence, limits_of(scenes.shot, scenes.gel_time_s))


def test_too_late_ends_with_a_reason_in_four_parts(demos: Any) -> None:
    """Exit code 3; which requirement, which zone, by how much, and what would do."""
    answer = demos.as_planned(LATE)
    assert answer.exit_code == 3
    assert answer.plan.verdict is Verdict.NOT_ADMISSIBLE
    (reason,) = answer.plan.reasons
    assert "70%" in reason.requirement
    assert reason.where.rsplit("zone ", 1)[1] in {zone.name for zone in answer.plan.zones}
    wet, limit = map(int, re.findall(r"minute (\d+)", reason.by_how_much))
    assert wet > limit == math.floor(answer.plan.gel_limit_s / 60)
    assert "gel time of at least" in reason.remedy
    assert "viscosity of at most" in reason.remedy
    assert "Not met" in answer.said


@pytest.mark.parametrize(
    ("points", "field", "pattern"),
    [
        ("gel_time_points", "gel_time_min", r"gel time of at least (\d+) min"),
        ("viscosity_points", "viscosity_mpa_s", r"viscosity of at most (\d+) mPa s"),
    ],
)
def test_what_the_reason_says_would_do_does(demos: Any, points: str, field: str, pattern: str) -> None:
    """The case with all points moved to the gel time, or to the viscosity, that the reason asks for."""
    answer = demos.as_planned(LATE)
    at = answer.plan.conditions
    is_now = {"gel_time_min": at.gel_time_s / 60, "viscosity_mpa_s": at.viscosity_mpa_s}[field]
    asked = float(re.findall(pattern, answer.plan.reasons[0].remedy)[0])
    data = demo_data(LATE)
    for point in data["resin"][points]:
        point[field] *= asked / is_now
    again = check_sequence_of_case(case_from_mapping(data), read_sequence(answer.folder / "plan.json"))
    assert again.verdict is Verdict.VERIFIED


def test_a_third_line_half_way_makes_the_late_shot_early() -> None:
    """As the page says: verified, with the wet-out that it names, when the line between is opened first."""
    (minutes,) = re.findall(r"wet-out then takes (\d+) minutes", page_of(LATE))
    data = demo_data(LATE)
    section = {"run_mm": [[100, 1200], [3500, 1200]], "hose_length_mm": 2500, "inlet": "middle"}
    data["feed_lines"].append({**data["feed_lines"][0], "name": "3", "sections": [section]})
    steps = [{"action": "open", "label": "3", "when": {"start": True}}]
    steps += [{"action": "open", "label": line, "when": {"wet_up_to": line}} for line in ("1", "2")]
    steps += [{"action": "clamp", "label": vent, "when": {"reached": vent}} for vent in ("V-NEAR", "V-FAR")]
    checked = check_sequence_of_case(
        case_from_mapping(data), sequence_from_mapping({"schema_version": 1, "steps": steps})
    )
    assert checked.verdict is Verdict.VERIFIED
    assert checked.wet_out_s / 60 == pytest.approx(int(minutes), abs=0.5)
