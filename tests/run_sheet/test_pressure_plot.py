"""The plot of pressures shows what the plan says of them, line by line."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.pressure_plot import _figure, apart, pressure_plot_svg


@pytest.fixture
def fed(fields: dict[str, Any]) -> PlanDocument:
    """Three lines are opened one after another, and two of them end alike."""
    for place, line in enumerate(fields["lines"][:3]):
        since_s = 300.0 * place
        line["pressure"] = {
            "time_s": [since_s, since_s + 60.0, 2400.0],
            "inlet_mbar_abs": [100.0, 900.0, 950.0 - 100.0 * (place == 2)],
            "far_end_mbar_abs": [25.0, 700.0, 900.0 - 100.0 * (place == 2)],
        }
    return PlanDocument.model_validate(fields)


def curves(axes: Axes) -> list[np.ndarray]:
    return [np.asarray(curve.get_xydata()) for curve in axes.get_lines()]


def test_every_opened_line_has_its_inlet_above_and_its_far_end_below(fed: PlanDocument) -> None:
    """The manifold first, then the lines in the plan's order, minutes and millibar."""
    inlets, far_ends = (curves(axes) for axes in _figure(fed).axes)
    opened = [line.pressure for line in fed.lines if line.pressure is not None]
    assert opened
    assert inlets[0][:, 1] == pytest.approx(fed.consumption.manifold_mbar_abs)
    for of_line, above, below in zip(opened, inlets[1:], far_ends, strict=True):
        assert above[:, 0] == pytest.approx(np.array(of_line.time_s) / 60)
        assert above[:, 1] == pytest.approx(of_line.inlet_mbar_abs)
        assert below[:, 1] == pytest.approx(of_line.far_end_mbar_abs)


def test_lines_are_named_and_the_names_stand_apart(fed: PlanDocument) -> None:
    """Where several end at one pressure too."""
    for axes in _figure(fed).axes:
        names = [text.get_text() for text in axes.texts]
        assert sorted(names) == sorted(line.label for line in fed.lines if line.pressure is not None)
        heights = sorted(text.xyann[1] for text in axes.texts if hasattr(text, "xyann"))
        assert len(heights) == len(names)
        assert all(np.diff(heights) > 0.05 * axes.get_ylim()[1])


def test_the_same_plan_gives_the_same_plot_and_one_without_a_line_open_gives_one_too(
    fed: PlanDocument,
) -> None:
    """To the byte."""
    assert pressure_plot_svg(fed) == pressure_plot_svg(fed)
    fields: dict[str, Any] = fed.model_dump(mode="json")
    for line in fields["lines"]:
        line["pressure"] = None
    assert pressure_plot_svg(PlanDocument.model_validate(fields))


def test_names_of_many_lines_stay_beside_the_plot() -> None:
    """Fifteen that end at about one pressure, near the top: kept apart, none above the plot or below it."""
    places = apart([900.0 + k for k in range(15)], least=55.0, highest=1_000.0)
    assert places == sorted(places)
    assert all(there - one == pytest.approx(55.0) for one, there in pairwise(places))
    assert 0.0 <= places[0] < places[-1] <= 1_000.0
    assert apart([100.0, 500.0], least=55.0, highest=1_000.0) == [100.0, 500.0]
