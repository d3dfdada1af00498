"""Where cells of the search mislead: what is then still played, and what is said of it. Runs are replaced by their
outcomes."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.case.write_robustness import coarse_network_warnings
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan import verify as file
from optimiser.plan.verify import verify

ON_COARSE_S = {f"zone graph, turn {k}": 500.0 + k for k in range(6)} | {"outward on reach from 1": 800.0}
ON_COARSE_S |= {"outward bay by bay from 1": 810.0, "outward on reach from 2": 820.0}


def candidate(name: str, wet_out_s: float, *, holds: bool = False) -> Any:
    step = Step(action=Action.OPEN, label=name, trigger=Trigger(kind=TriggerKind.START))
    run = SimpleNamespace(wet_out_s=wet_out_s, locked_pore_m3=0.0, clean=True, vent_drawn_m3=np.zeros(1))
    values = {"clean": True, "holds": holds, "clean_in_spread": holds, "clean_on_finer": holds, "locked_m3": 0.0}
    return SimpleNamespace(
        name=name, sequence=Sequence(steps=(step,)), run=run, spread_runs=(), broken="", margin_s=0.0, **values
    )


@pytest.mark.parametrize(
    ("by_hand_s", "taken"), [(900.0, "outward on reach from 2"), (1300.0, "zone graph, turn 0")]
)
def test_an_order_by_hand_that_is_faster_on_the_full_network_is_taken(
    monkeypatch: pytest.MonkeyPatch, by_hand_s: float, taken: str
) -> None:
    """On coarse cells it took over a quarter longer than what led there; on the full network that is the slower one."""
    on_full_s = {name: 2 * at_s for name, at_s in ON_COARSE_S.items()} | {"outward on reach from 2": by_hand_s}

    def on_full(_: Any, asked: list[Any], *__: Any) -> list[Any]:
        return [candidate(one.name, on_full_s[one.name]) for one in asked]

    def with_spread(_: Any, one: Any, __: Any) -> Any:
        held = candidate(one.name, one.run.wet_out_s, holds=True)
        return SimpleNamespace(**{**vars(held), "spread_runs": (one.run,)})

    monkeypatch.setattr(file, "on_full", on_full)
    monkeypatch.setattr(file, "with_spread", with_spread)
    chooser: Any = SimpleNamespace(
        candidates=[candidate(name, at_s) for name, at_s in ON_COARSE_S.items()],
        patience=SimpleNamespace(search_is_over=False, is_over=False),
        limits=SimpleNamespace(longest_s=1e6),
        shot=SimpleNamespace(scatter=None),
    )
    monkeypatch.setattr(file, "replace", lambda limits, **_: limits)
    assert verify(chooser, lambda *_: None)[0].name == taken


@pytest.mark.parametrize(
    ("coarse_s", "said"), [(1199.0, "20% later"), (880.0, "12% sooner"), (1090.0, None), (None, None)]
)
def test_variations_on_cells_that_show_another_part_are_warned_of(coarse_s: float | None, said: str | None) -> None:
    """By over a tenth of the time, either way; 1000 s on the network that it is verified on, cells of 100 mm."""
    result: Any = SimpleNamespace(
        robustness=object(),
        proof=SimpleNamespace(played_s=coarse_s),
        chosen=SimpleNamespace(run=SimpleNamespace(wet_out_s=1000.0)),
        scenes=SimpleNamespace(coarse=SimpleNamespace(cell_size_m=0.1)),
    )
    warnings = coarse_network_warnings(result)
    assert len(warnings) == (said is not None)
    assert all(f"cells of 100 mm, where this order is wet {said} than" in one for one in warnings)
    assert coarse_network_warnings(SimpleNamespace(**{**vars(result), "robustness": None})) == []  # type: ignore[arg-type]
