"""Where every sequence locks something, the answer locks no more than what a person would have done."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan import verify as file
from optimiser.plan.verify import verify

COARSE_M3 = {f"ours {k}": 1e-4 * (k + 1) for k in range(5)}
COARSE_M3 |= {f"outward on reach from {k}": 1e-3 * k for k in (1, 2, 3)}
"""Locked on the coarse network: the third by hand leads nowhere there."""


def candidate(name: str, locked_m3: float) -> Any:
    step = Step(action=Action.OPEN, label=name, trigger=Trigger(kind=TriggerKind.START))
    run = SimpleNamespace(wet_out_s=1000.0, locked_pore_m3=locked_m3, clean=False, vent_drawn_m3=np.zeros(1))
    values = {"clean": False, "holds": False, "clean_in_spread": False, "broken": "", "locked_m3": locked_m3}
    values["margin_s"] = 0.0
    return SimpleNamespace(name=name, sequence=Sequence(steps=(step,)), run=run, spread_runs=(), **values)


@pytest.mark.parametrize(("on_full_m3", "taken"), [(1e-5, "outward on reach from 3"), (1.0, "ours 0")])
def test_what_locks_less_on_the_full_network_is_taken(
    monkeypatch: pytest.MonkeyPatch, on_full_m3: float, taken: str
) -> None:
    """Whatever the coarse network thought of it."""
    full_m3 = COARSE_M3 | {"outward on reach from 3": on_full_m3}
    played: list[str] = []

    def on_full(_: Any, asked: list[Any], *__: Any) -> list[Any]:
        played.extend(one.name for one in asked)
        return [candidate(one.name, full_m3[one.name]) for one in asked]

    def with_spread(_: Any, one: Any, __: Any) -> Any:
        return SimpleNamespace(**{**vars(one), "spread_runs": (one.run,)})

    monkeypatch.setattr(file, "on_full", on_full)
    monkeypatch.setattr(file, "with_spread", with_spread)
    chooser: Any = SimpleNamespace(
        candidates=[candidate(name, locked_m3) for name, locked_m3 in COARSE_M3.items()],
        patience=SimpleNamespace(search_is_over=False, is_over=False),
        limits=SimpleNamespace(longest_s=1e6),
        shot=SimpleNamespace(scatter=None),
    )
    chosen, verified = verify(chooser, lambda *_: None)
    assert chosen.name == taken
    assert "outward on reach from 3" in played
    assert (taken == "ours 0") == all(one.name != "outward on reach from 3" for one in verified)
