"""An open container: grams of the first mix and of the rest, and by when the second mix must be in."""

from __future__ import annotations

import re
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.container_mix import container_mix, poured_before, second_mix_by
from optimiser.run_sheet.go_ahead import start_ticks
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.mixes import POT_ROWS, mixes_of
from optimiser.run_sheet.rows import step_groups


@pytest.fixture
def container(fields: dict[str, Any]) -> PlanDocument:
    """The same shot out of one open container."""
    fields["resin"]["mixes"] = None
    return PlanDocument.model_validate(fields)


def test_the_grams_of_first_mix_and_rest_are_all(container: PlanDocument) -> None:
    """7.5 kg in hose and manifold and 0.094 kg/s over 750 s are 78.0 kg, 1.5 % of them 1170 g; the rest of 286.6 kg is
    208.6 kg and 3129 g; all 4299 g. By hand."""
    mix = container_mix(container)
    assert mix is not None
    assert (mix.resin_kg, mix.initiator_g, mix.rest_kg, mix.rest_g) == (78.0, 1170, 208.6, 3129)
    said = mixes_of(container).says[1]
    assert said.startswith("FIRST MIX 78.0 kg: 1170 g · THE REST 208.6 kg: 3129 g · together 4299 g. In pails of at")
    assert "the clock starts at the FIRST pail. A deep pail gels sooner than the part: warm = CALL." in said
    assert len(mixes_of(container).rows) == POT_ROWS


def test_no_initiator_is_told_in_kilograms(container: PlanDocument, plan: PlanDocument) -> None:
    """Who weighs grams must not shift a point."""
    for one in (container, plan):
        page = render_html(one)
        assert not re.search(r"[Ii]nitiator[^.<]{0,20}\d\.\d{3} kg", page)
        assert "4299 g" in page
    assert any("1170 g of initiator in it" in tick for tick in start_ticks(container))


def test_the_second_mix_is_in_while_a_tenth_of_the_first_is_left(container: PlanDocument) -> None:
    """Nine tenths of 78.0 kg less the 7.5 kg in hose and manifold are 62.7 kg; at 0.094 kg/s that is 667 s, on a day
    1.25 times as fast 533.6 s, minute 8. By hand; the tenth is common practice, no source."""
    mix = container_mix(container)
    assert mix is not None
    assert mix.next_by_kg == 62.7
    assert mix.next_by_s == pytest.approx(62.7 / 0.094 / 1.25)
    assert second_mix_by(container) == "62.7 kg in less what went into the flush pot (fast day: min 8)"
    assert any("SECOND MIX IN THE CONTAINER by 62.7 kg in" in line for line in mixes_of(container).says)


def test_it_stands_above_the_first_step_that_the_first_mix_does_not_reach(container: PlanDocument) -> None:
    """Step 7 is done at 89.3 kg, step 6 at 51.3 kg: with its box above the trigger of step 7, on screen too."""
    found = poured_before(container)
    assert found is not None
    assert found[0] == 7
    ahead = [(group.rows[0].order, one.do) for group in step_groups(container) for one in group.ahead]
    assert [order for order, _ in ahead] == [7]
    assert ahead[0][1].startswith("SECOND MIX IN by 62.7 kg in")
    assert ahead[0][1].endswith("HOSE END STAYS UNDER RESIN.")
    assert ahead[0][1] in render_html(container)


def test_nothing_is_said_where_the_first_mix_lasts_or_nothing_is_known(
    fields: dict[str, Any], plan: PlanDocument, machine_plan: PlanDocument
) -> None:
    """A first mix that is all there is; counted mixes have their own table; a machine mixes nothing; and where no run
    tells what is drawn, no kilogram is made up."""
    fields["resin"].update(mixes=None, total_kg=41.0)
    lasts = PlanDocument.model_validate(fields)
    assert second_mix_by(lasts) == ""
    assert poured_before(lasts) is None
    assert mixes_of(lasts).says[1].startswith("FIRST MIX 41.0 kg: 615 g, which is all. In pails")
    fields["consumption"] |= {"time_s": [], "drawn_kg": [], "flow_kg_per_min": []}
    for one in (plan, machine_plan, PlanDocument.model_validate(fields)):
        assert container_mix(one) is None
        assert not any(group.ahead for group in step_groups(one))
