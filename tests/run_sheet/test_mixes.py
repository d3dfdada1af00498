"""Resin and initiator put together: weights by the percentage of the resin, blanks where the yard decides."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.go_ahead import start_ticks
from optimiser.run_sheet.mixes import BEGIN, POURED, mixes_of
from optimiser.run_sheet.rows import step_groups


def test_each_mix_says_what_is_weighed_in(plan: PlanDocument) -> None:
    """Mass balance: 8 x 32 kg and the rest of 286.6 kg; the initiator is 1.5 % of each, in all that of the plan.

    Tolerance: grams, the last printed figure of each of nine mixes.
    """
    rows = mixes_of(plan).rows
    assert [row[1] for row in rows] == ["32.0"] * 8 + ["30.6"]
    assert rows[0][2] == "480"
    assert sum(float(row[2]) for row in rows) == pytest.approx(1000 * plan.resin.initiator_kg, abs=9 * 0.5)


@pytest.mark.parametrize(
    ("total_kg", "mix_kg", "percent", "said", "in_all"),
    [
        (286.6, 32.0, 1.5, "Initiator in all: 4299 g, which is 1.5 % of", 4299),
        (19.5, 10.0, 1.5, "Initiator in all: 293 g, which is 1.5 % of", 293),
        (40.0, 12.25, 1.35, "Initiator in all: 540 g, which is 1.35 % of", 540),
        (46.0, 9.2, 1.15, "Initiator in all: 530 g, as the mixes are weighed, each to its own gram", 530),
        (27.6, 9.2, 1.25, "Initiator in all: 345 g, which is 1.25 % of", 345),
        (42.1, 10.3, 1.3, "Initiator in all: 548 g, which is 1.3 % of", 548),
    ],
)
def test_the_rows_add_up_to_what_is_printed_or_the_sheet_says_so(
    fields: dict[str, Any], total_kg: float, mix_kg: float, percent: float, said: str, in_all: int
) -> None:
    """Resin to the last digit; initiator to the gram, each dose the nearest and what to have never less than all."""
    fields["resin"].update(total_kg=total_kg, initiator_percent=percent, mixes=math.ceil(total_kg / mix_kg))
    fields["conditions"].update(mix_kg=mix_kg, initiator_percent=percent)
    plan = PlanDocument.model_validate(fields)
    mixes = mixes_of(plan)
    assert sum(float(row[1]) for row in mixes.rows) == pytest.approx(total_kg, abs=1e-9)
    for row in mixes.rows:
        assert float(row[2]) == pytest.approx(10 * float(row[1]) * percent, abs=0.5 + 1e-9), "the nearest gram"
    line, added = mixes.says[1], sum(float(row[2]) for row in mixes.rows)
    assert line.startswith(said)
    assert in_all >= max(added, 10 * total_kg * percent - 1e-9)
    assert ("add up to" in line) == (added < in_all)
    assert added == in_all or f"add up to {added:g} g" in line
    on_hand = next(check.planned for check in checks(plan) if check.what == "Initiator on hand")
    assert on_hand == f"{in_all} g for the whole shot, or more"


def test_no_mix_is_weighed_where_its_size_is_not_known(fields: dict[str, Any]) -> None:
    """A plan that was stored without the size of a mix leaves blanks."""
    fields["conditions"]["mix_kg"] = None
    assert {row[1:3] for row in mixes_of(PlanDocument.model_validate(fields)).rows} == {("", "")}


def test_mixes_get_a_line_each_up_to_a_dozen(fields: dict[str, Any]) -> None:
    """Nine mixes, nine lines; a hundred would bury the page, and the sheet says that it stops at twelve."""
    assert len(mixes_of(PlanDocument.model_validate(fields)).rows) == 9
    fields["resin"]["mixes"] = 100
    many = mixes_of(PlanDocument.model_validate(fields))
    assert len(many.rows) == 12
    assert "the others up to 100 alike" in many.says[0]


def test_a_mix_begins_by_what_has_gone_in(fields: dict[str, Any]) -> None:
    """Rounded to the safe side, sooner."""
    clock = {"resin_kg": 32.0, "initiator_kg": 0.48, "used_up_at_s": 900.0, "gel_limit_at_s": 3000.0}
    fields["mixes"] = [
        {**clock, "number": 1, "initiator_in_at_s": -301.0, "wanted_at_s": 0.0},
        {
            **clock,
            "number": 2,
            "initiator_in_at_s": 119.0,
            "begin_at_drawn_kg": 12.39,
            "pour_by_drawn_kg": 30.19,
            "wanted_at_s": 500.0,
        },
    ]
    mixes = mixes_of(PlanDocument.model_validate(fields))
    assert mixes.heads[:3] == ("Mix", BEGIN, POURED)
    begins = [row[1:3] for row in mixes.rows]
    assert begins[:2] == [("6 min before 1st tap", "before zero"), ("12.3 kg in (min 1)", "30.1 kg in")]
    assert all("only if short" in begin for begin, _ in begins[2:])
    assert len(begins) == 9
    assert "MIX 2 BEGUN" not in " ".join(start_ticks(PlanDocument.model_validate(fields))), "it begins later"
    assert ", SOONER where it has room: what is left then, 3.2 kg, lasts 27 s. A HOSE END" in mixes.says[0], (
        "a tenth of 32 kg at 0.094 kg/s lasts 34.04 s, on the day that is 1.25 times as fast 27.2 s"
    )
    fields["steps"][3]["bled_before_litres"] = 0.5
    bled = mixes_of(PlanDocument.model_validate(fields))
    assert bled.rows[1][1:3] == ("12.3 kg drawn (min 1)", "30.1 kg drawn")
    assert "Initiator in when 'kg drawn' is what stands here" in bled.says[0]


@pytest.mark.parametrize(("begun_s", "begin_kg"), [(2553.0, "270.7"), (2000.0, "220.0")])
def test_a_mix_of_the_reserve_says_when_it_begins(fields: dict[str, Any], begun_s: float, begin_kg: str) -> None:
    """The run draws 0.094 kg/s for 2880 s, 270.72 kg. With mixes of two minutes the tenth is asked for then: the nine
    hold 282.8 kg less what is left in the container. With mixes of eleven it would come too late, so sooner: by what
    is drawn in that time. Both by hand."""
    pour_kg = 8 * 32 - 3.2 - 2.0
    clock = {"resin_kg": 32.0, "initiator_kg": 0.48, "used_up_at_s": 2880.0, "gel_limit_at_s": 5000.0}
    first = {**clock, "number": 1, "initiator_in_at_s": -301.0, "wanted_at_s": 0.0}
    others = [
        {
            **clock,
            "number": number,
            "initiator_in_at_s": begun_s,
            "begin_at_drawn_kg": 0.094 * begun_s,
            "pour_by_drawn_kg": pour_kg,
            "wanted_at_s": 2700.0,
        }
        for number in range(2, 10)
    ]
    fields["mixes"] = [first, *others]
    fields["resin"].update(total_kg=300.0, mixes=10)
    mixes = mixes_of(PlanDocument.model_validate(fields))
    begin, pour = mixes.rows[-1][1:3]
    assert (begin, pour) == (f"{begin_kg} kg in, only if short", "282.8 kg in")
    assert any("at that weight look at the front. Begin the mix, unless" in line for line in mixes.says)
    fields["consumption"]["time_s"] = fields["consumption"]["drawn_kg"] = []
    unknown = mixes_of(PlanDocument.model_validate(fields))
    assert unknown.rows[-1][1] == "only if short"
    assert any("when the mix before it is poured in look at the front" in line for line in unknown.says)


def test_a_machine_shot_has_nothing_to_mix_by_hand(machine_plan: PlanDocument) -> None:
    """No table, and the ratio is checked by weighing."""
    mixes = mixes_of(machine_plan)
    assert mixes.says[0].startswith("DO NOT BATCH MIX: machine ratio 1.5 %, to 1000 g resin 15 g initiator, streams")
    assert "never into the hose; accept" in mixes.says[0]
    assert (mixes.heads, mixes.rows) == ((), ())


def test_the_largest_pot_is_left_to_the_data_sheet(fields: dict[str, Any]) -> None:
    """The tool has no limit of its own: a blank, and blank lines for the pots."""
    fields["resin"]["mixes"] = None
    mixes = mixes_of(PlanDocument.model_validate(fields))
    assert not any(char.isdigit() for char in mixes.says[0])
    assert all(set(row[1:]) == {""} for row in mixes.rows)


def test_every_supply_says_what_the_percentage_is_of(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Mass of initiator per mass of resin."""
    for one in (plan, machine_plan):
        assert any("1.5 % of the mass of the resin" in line for line in mixes_of(one).says)


def test_the_initiator_is_that_of_the_resin_as_printed(fields: dict[str, Any]) -> None:
    """7.353 kg are printed as 7.4 kg, and 1.5 % of 7.4 kg are 0.111 kg, not 0.110."""
    fields["resin"].update(mixes=None, total_kg=7.353, initiator_kg=0.110295)
    plan = PlanDocument.model_validate(fields)
    assert "Initiator in all: 111 g" in mixes_of(plan).says[2]
    assert any(check.planned == "111 g for the whole shot, or more" for check in checks(plan))


def test_a_pot_is_weighed_by_its_own_resin(fields: dict[str, Any], machine_plan: PlanDocument) -> None:
    """1.5 % of 1, 2 and 5 kg; a machine has no pots."""
    fields["resin"]["mixes"] = None
    said = mixes_of(PlanDocument.model_validate(fields)).says[-2]
    assert said.startswith("15 g of initiator for each 1 kg of resin in a pail; NEVER all into one pail.")
    assert "1 kg: 15 g · 2 kg: 30 g · 3 kg: 45 g · 4 kg: 60 g · 5 kg: 75 g" in said
    assert "6 kg: 90 g · 7 kg: 105 g · 8 kg: 120 g · 9 kg: 135 g · 10 kg: 150 g. By SCALE in grams, never" in said
    assert not any("of resin in a pail" in line for line in mixes_of(machine_plan).says)


def test_a_mix_begun_before_the_first_tap_has_its_tick(fields: dict[str, Any]) -> None:
    """Who only ticks the first pot forgets it. The minutes round up, sooner."""
    clock = {"resin_kg": 32.0, "initiator_kg": 0.48, "used_up_at_s": 900.0, "gel_limit_at_s": 3000.0}
    fields["mixes"] = [
        {**clock, "number": number, "initiator_in_at_s": at_s, "wanted_at_s": 0.0}
        for number, at_s in ((1, -301.0), (2, -86.0))
    ]
    ticks = start_ticks(PlanDocument.model_validate(fields))
    assert "MIX 2 BEGUN 2 min before step 1, initiator in at ____:____" in ticks
    assert "MIX 1, 32.0 kg + 480 g: initiator in 6 min before step 1, WRITE above" in ticks
    assert sum(tick.startswith("MIX") for tick in ticks) == 2
    assert ticks[-1].endswith("Step 1 = OPEN 1-MID; WRITE its time above")
    assert not any("at zero" in tick for tick in ticks), "nobody is told to press tare"


def test_each_mix_has_its_cup(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """And the batch has one beforehand, against the gel time that the plan counts with: 5400 s."""
    assert any(line.startswith("GEL CUP: one of each mix") for line in mixes_of(plan).says)
    for one in (plan, machine_plan):
        (cup,) = [check for check in checks(one) if check.what.startswith("Gel cup")]
        assert "planned 90 min at the warmer of mould and resin. Sooner: CALL" in cup.planned


def test_the_container_never_runs_below_its_rest(fields: dict[str, Any]) -> None:
    """The kilograms of the sheet added up by hand: mixes of 26.6 kg, half a litre (0.54 kg) fills hose and manifold and
    as much goes through them to the first mark; then what is drawn. Each mix is in while a tenth of one is left, also
    with a bleeding under way: mix 4 would fall due in that of step 7, and is in before it. Common practice, no source.
    """
    mix_kg, mark_kg = 26.6, 0.5e-3 * fields["conditions"]["resin_density_kg_per_m3"]
    fields["conditions"]["mix_kg"] = mix_kg
    fields["resin"].update(total_kg=292.6, mixes=11)
    for place in (3, 6, 9, 12):
        fields["steps"][place]["bled_before_litres"] = 0.5
    clock = {"resin_kg": mix_kg, "initiator_kg": 0.4, "used_up_at_s": 900.0, "gel_limit_at_s": 5000.0}
    first = {**clock, "number": 1, "initiator_in_at_s": -301.0, "wanted_at_s": 0.0}
    fields["mixes"] = [first] + [
        {
            **clock,
            "number": number,
            "initiator_in_at_s": 60.0,
            "begin_at_drawn_kg": 5.6,
            "pour_by_drawn_kg": (number - 1.1) * mix_kg - 2 * mark_kg,
            "wanted_at_s": 300.0 * number,
        }
        for number in range(2, 12)
    ]
    plan = PlanDocument.model_validate(fields)
    printed_kg = [float(row[2].removesuffix(" kg drawn")) for row in mixes_of(plan).rows[1:]]
    for poured, by_kg in enumerate(printed_kg, 1):
        assert 0.1 * mix_kg - 1e-6 <= poured * mix_kg - 2 * mark_kg - by_kg
    assert printed_kg[2] == 75.7 < 3 * mix_kg - 0.1 * mix_kg - 2 * mark_kg, "when the bleeding of step 7 begins"
    ahead = [one for group in step_groups(plan) for one in group.ahead]
    assert len(ahead) == 4
    for bled in ahead:
        found = re.search(r"begin at ([\d.]+) kg drawn.* AT LEAST ([\d.]+) kg IN THE CONTAINER", bled.do)
        assert found is not None
        begin_kg, least_kg = map(float, found.groups())
        poured = 1 + sum(by_kg <= begin_kg for by_kg in printed_kg)
        assert poured * mix_kg - 2 * mark_kg - begin_kg >= least_kg - 0.05, bled.do
        assert f"MIX {poured} IN, AT LEAST" in bled.do
    (low,) = [check for check in checks(plan) if check.what.startswith("EMPTY container")]
    assert low.planned.startswith("this + 2.66 kg = LOW ____ kg. The next mix is in BEFORE the scale reads LOW")


def test_the_first_mix_is_as_old_as_is_counted(fields: dict[str, Any]) -> None:
    """One number on page one, among the checks and here; and where steps share a bleeding the scale reads less."""
    clock = {"resin_kg": 32.0, "initiator_kg": 0.48, "used_up_at_s": 900.0, "gel_limit_at_s": 3000.0}
    late = {"number": 2, "initiator_in_at_s": 700.0, "begin_at_drawn_kg": 66.9, "wanted_at_s": 900.0}
    fields["mixes"] = [{**clock, "number": 1, "initiator_in_at_s": -301.0, "wanted_at_s": 0.0}, {**clock, **late}]
    fields["gel_clock"] = {
        "judged_by": "each_place",
        "age_at_first_tap_s": 600.0,
        "least_margin_s": 400.0,
        "least_margin_at": "zone 1",
        "age_there_s": 100.0,
        "age_limit_there_s": 500.0,
        "viscosity_first_tap_mpa_s": 210.0,
        "viscosity_wet_out_mpa_s": 210.0,
        "temperatures": [],
    }
    for place in (3, 4):
        fields["steps"][place]["bled_before_litres"] = 0.5
    rows = mixes_of(PlanDocument.model_validate(fields)).rows
    assert rows[0][1] == "10 min before 1st tap"
    shared_kg = 0.5e-3 * fields["conditions"]["resin_density_kg_per_m3"]
    assert rows[1][1] == f"{math.floor(10 * (66.9 - shared_kg)) / 10:g} kg drawn (min 11)"
