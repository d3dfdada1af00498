"""Mixes drawn one after another: when each is wanted, begun and used up. Checked by hand on even flows."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.plan.mix_clocks import mix_clocks

EVEN_S = np.array([0.0, 600.0, 1200.0])
EVEN_KG = np.array([0.0, 30.0, 60.0])
"""3 kg a minute for twenty minutes."""


def test_each_mix_is_wanted_when_the_one_before_is_used_up() -> None:
    """Mixes of 20 kg last 400 s each; made in 300 s, each begins 300 s before it is wanted."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=20.0, mix_s=300.0)
    assert [one.wanted_s for one in clocks] == pytest.approx([0.0, 400.0, 800.0])
    assert [one.begun_s for one in clocks] == pytest.approx([-300.0, 100.0, 500.0])
    assert [one.used_up_s for one in clocks] == pytest.approx([400.0, 800.0, 1200.0])
    assert [one.kg for one in clocks] == pytest.approx([20.0, 20.0, 20.0])


def test_a_crew_slower_than_the_part_begins_long_before_the_first_tap() -> None:
    """Made in 500 s where one lasts 400 s: the last begins at 300 s, so the others at -200 and -700 s."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=20.0, mix_s=500.0)
    assert [one.begun_s for one in clocks] == pytest.approx([-700.0, -200.0, 300.0])


def test_the_last_mix_holds_what_is_left() -> None:
    """60 kg in mixes of 25: 25, 25 and 10."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=25.0, mix_s=0.0)
    assert [one.kg for one in clocks] == pytest.approx([25.0, 25.0, 10.0])


def test_on_a_day_faster_than_planned_each_mix_is_ready_when_it_is_wanted() -> None:
    """Mixes of 20 kg made in 300 s, drawn up to 1.25 times as fast: wanted at 320 and 640 s there, so begun at 20 and
    340 s there, when 20 and 340 x 1.25 s of the even 0.05 kg/s are drawn; the first 300 s before the first tap."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=20.0, mix_s=300.0, fastest=1.25)
    assert [one.begun_s for one in clocks] == pytest.approx([-300.0, 25.0, 425.0])
    assert [one.begun_at_kg for one in clocks] == [None, pytest.approx(1.25), pytest.approx(21.25)]


@given(st.lists(st.floats(0.1, 20.0), min_size=2, max_size=20), st.floats(1.0, 30.0), st.floats(0.0, 1800.0))
def test_begun_by_what_is_drawn_no_mix_is_late_on_the_fast_day(drawn: list[float], mix_kg: float, mix_s: float) -> None:
    """Played again half as long: a crew that begins each mix at its kilograms, one at a time, is never late."""
    drawn_kg = np.concatenate([[0.0], np.cumsum(drawn)])
    time_s = 60.0 * np.arange(len(drawn_kg))
    fast_s = time_s / 2
    ready_s = -np.inf
    for one in mix_clocks(time_s=time_s, drawn_kg=drawn_kg, mix_kg=mix_kg, mix_s=mix_s, fastest=2.0):
        due_s = one.begun_s if one.begun_at_kg is None else np.interp(one.begun_at_kg, drawn_kg, fast_s)
        ready_s = max(due_s, ready_s) + mix_s
        assert ready_s <= one.wanted_s / 2 + 1e-6


@given(st.lists(st.floats(0.1, 20.0), min_size=2, max_size=20), st.floats(1.0, 30.0), st.floats(0.0, 1800.0))
def test_no_two_mixes_are_made_at_once_and_none_is_late(drawn: list[float], mix_kg: float, mix_s: float) -> None:
    """Whatever is drawn when: all resin comes from some mix, ready when wanted, by one crew."""
    drawn_kg = np.concatenate([[0.0], np.cumsum(drawn)])
    time_s = 60.0 * np.arange(len(drawn_kg))
    clocks = mix_clocks(time_s=time_s, drawn_kg=drawn_kg, mix_kg=mix_kg, mix_s=mix_s)
    assert sum(one.kg for one in clocks) == pytest.approx(drawn_kg[-1])
    for one, after in pairwise(clocks):
        assert one.used_up_s == after.wanted_s
        assert one.begun_s + mix_s <= after.begun_s + 1e-9
    assert all(one.begun_s + mix_s <= one.wanted_s + 1e-9 for one in clocks)


def test_what_leaves_the_manifold_was_drawn_before() -> None:
    """Five of 20 kg stand in it: the second mix comes out when 25 kg have been drawn, 500 s; the third at 900 s."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=20.0, mix_s=0.0, manifold_kg=5.0)
    assert [one.leaves_s for one in clocks] == pytest.approx([100.0, 500.0, 900.0])


def test_each_mix_is_poured_in_while_some_of_the_one_before_is_left() -> None:
    """A tenth of 20 kg: at 18 and 38 kg, 360 and 760 s, so begun 300 s before that."""
    clocks = mix_clocks(time_s=EVEN_S, drawn_kg=EVEN_KG, mix_kg=20.0, mix_s=300.0, left_share=0.1)
    assert [one.poured_by_kg for one in clocks] == pytest.approx([0.0, 18.0, 38.0])
    assert [one.begun_s for one in clocks] == pytest.approx([-300.0, 60.0, 460.0])
