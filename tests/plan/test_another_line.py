"""Where more feed lines are proposed: in the middle of the widest bay, and never on top of a line that is there."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.remedies.another_line import line_midway
from optimiser.case.remedies.proposal import Proposal
from optimiser.plan.scenes import full_network_of


def rungs_of(case: Case, *, late: bool) -> tuple[Proposal, ...]:
    result = SimpleNamespace(scenes=SimpleNamespace(full=full_network_of(case.shot)))
    failing: Any = SimpleNamespace(document=case.document, result=result, late=late, only_pots=False)
    (ladder,) = line_midway(failing)
    return ladder.rungs


@pytest.fixture
def proposed(panels: Any) -> Any:
    """Heights of the new line's run over a panel 0.9 m wide with lines at these heights, in mm, each as long as the
    panel less 0.1 m at both ends; and the change in words."""

    def proposed(*lines_y_mm: float, cell_mm: float = 50) -> tuple[list[float], str]:
        case = case_from_mapping(panels.data(lines_y_mm=lines_y_mm, cell_mm=cell_mm))
        (change,) = rungs_of(case, late=False)
        (edit,) = change.edits
        return [y for section in edit.value["sections"] for _, y in section["run_mm"]], change.change

    return proposed


def test_it_lies_between_two_lines_not_on_the_third(proposed: Any) -> None:
    """Bays of 0.3 m either side of a line: past the ends of the lines the outer two lie across from each other, and
    midway between those is the line in the middle."""
    heights_mm, words = proposed(150, 450, 750)
    assert heights_mm == pytest.approx([heights_mm[0]] * 2)
    assert min(abs(heights_mm[0] - y) for y in (300, 600)) < 30
    assert "N1" in words


def test_it_lies_in_the_widest_bay(proposed: Any) -> None:
    """Of 0.15 and 0.5 m between lines the wider one, within a cell of its middle."""
    heights_mm, _ = proposed(150, 300, 800)
    assert heights_mm[0] == pytest.approx(550, abs=50)


def test_one_line_along_an_edge_gets_one_between_it_and_the_far_edge(proposed: Any) -> None:
    """From 0.15 m to the last cells at 0.875: midway at 0.5125."""
    heights_mm, _ = proposed(150)
    assert heights_mm[0] == pytest.approx(512.5, abs=25)


@pytest.mark.parametrize(
    ("lines_y_mm", "new_y_mm"),
    [((150,), (392, 633)), ((100, 450, 800), (275, 625)), ((50, 650, 850), (250, 450))],
    ids=["thirds of the one bay", "one in each of two", "thirds of the wider one"],
)
def test_where_time_fails_two_are_proposed_behind_one(
    panels: Any, lines_y_mm: tuple[float, ...], new_y_mm: tuple[float, float]
) -> None:
    """So that the widest bay that is left is the narrowest: from 150 mm to the last cells at 875 two thirds of 242 mm;
    of two bays of 350 mm the halves; of 600 and 200 mm thirds of the wider. Within half a cell and its share."""
    case = case_from_mapping(panels.data(lines_y_mm=lines_y_mm, cell_mm=50))
    one, two = rungs_of(case, late=True)
    values: list[Any] = [edit.value for edit in two.edits]
    assert len(one.edits) == 1
    assert two.effort > one.effort
    assert two.change.startswith("two feed lines more, N1, ")
    assert sorted(value["sections"][0]["run_mm"][0][1] for value in values) == pytest.approx(new_y_mm, abs=35)
    assert [value["name"] for value in values] == ["N1", "N2"]
