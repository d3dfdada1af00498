"""Where cells of the search are wider than what the layout has: what is said of the variations played on them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.write_robustness import coarse_network_warnings


@pytest.mark.parametrize(
    ("coarse_s", "said"), [(1199.0, "20% later"), (880.0, "12% sooner"), (1090.0, None), (None, None)]
)
def test_variations_on_cells_that_show_another_part_are_warned_of(coarse_s: float | None, said: str | None) -> None:
    """By over a tenth of the time, either way; 1000 s on the network that it is verified on, cells of 100 mm.

    The advice is a size that is not the one they are played on.
    """
    result: Any = SimpleNamespace(
        robustness=object(),
        proof=SimpleNamespace(played_s=coarse_s),
        chosen=SimpleNamespace(run=SimpleNamespace(wet_out_s=1000.0)),
        scenes=SimpleNamespace(coarse=SimpleNamespace(cell_size_m=0.1), full=SimpleNamespace(cell_size_m=0.05)),
    )
    warnings = coarse_network_warnings(result)
    assert len(warnings) == (said is not None)
    assert all(f"cells of 100 mm, where this order is wet {said} than" in one for one in warnings)
    assert all("on smaller cells, at best of 50 mm" in one for one in warnings)
    assert not any("_" in one for one in warnings), "the sheet prints it: no name of a field"
    assert coarse_network_warnings(SimpleNamespace(**{**vars(result), "robustness": None})) == []  # type: ignore[arg-type]
