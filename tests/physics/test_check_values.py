"""Every law against the published or derived numbers in tests/check_values (sources in its SOURCES.md).

`abs=0` everywhere: pytest's own absolute tolerance of 1e-12 would let any permeability in m2 pass.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from optimiser.physics.gel_clock import arrhenius_gel_time_s, gel_time_in_history_s

CHECK_VALUES = Path(__file__).parent.parent / "check_values"
FAMILIES_OF_PLAIN_LAWS = (
    "linear",
    "radial",
    "elliptical",
    "series",
    "stack",
    "constant_flow",
    "gravity",
    "pipe_flow",
    "permeability_models",
    "resin_viscosity",
    "gel_time",
    "fibre_arithmetic",
    "vacuum",
    "trapped_gas",
    "parallel_lines",
)


@pytest.mark.check_values(*FAMILIES_OF_PLAIN_LAWS)
def test_law_gives_the_value_of_its_source(row: Any) -> None:
    """The law named in the row, called with the row's inputs, gives the row's value to its printed digits."""
    module, law = row.law.split(".")
    found = getattr(import_module(f"optimiser.physics.{module}"), law)(**row.inputs)
    assert found == pytest.approx(row.expected, rel=row.relative_tolerance, abs=0)


@pytest.mark.check_values("gel_history")
def test_gel_under_a_changing_temperature(row: Any) -> None:
    """Gel comes when the shares of the gel time used at each temperature add up to one."""
    history = row.inputs.pop("history")
    found = gel_time_in_history_s(
        history, lambda temperature_k: arrhenius_gel_time_s(**row.inputs, temperature_k=temperature_k)
    )
    assert found == pytest.approx(row.expected, rel=row.relative_tolerance, abs=0)


def test_every_family_is_read_and_has_its_source_written_down() -> None:
    """No file of physics check values lies unread, and SOURCES.md says where each comes from."""
    written_down = (CHECK_VALUES / "SOURCES.md").read_text(encoding="utf-8")
    for family in (*FAMILIES_OF_PLAIN_LAWS, "gel_history"):
        assert (CHECK_VALUES / f"{family}.csv").is_file()
        assert f"`{family}.csv`" in written_down
