"""How far the order on the sheet may be from the best one, in minutes; nothing where nothing is known of it."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.proof_words import proof_lines


@pytest.mark.parametrize(
    ("proof", "said"),
    [
        ({"status": "best_found", "graph_gap_s": 250.0}, "there may be a better one, by up to 4.2 minutes as far as"),
        ({"status": "best_found", "graph_gap_s": 0.0}, "The best order found; there may be a better one. Played"),
        ({"status": "best_found"}, "The best order found; there may be a better one. Played"),
        ({"status": "optimal_on_zone_graph", "graph_gap_s": 0.0}, "The best order with the part cut into"),
    ],
)
def test_the_gap_is_printed_where_there_is_one(fields: dict[str, Any], proof: dict[str, Any], said: str) -> None:
    """Rounded up; a plan of before, that tells of no gap, is printed as it was."""
    plan = PlanDocument.model_validate(fields | {"proof": fields["proof"] | proof})
    assert said in proof_lines(plan)[0]


def test_what_is_not_known_is_left_out_of_the_document(plan: PlanDocument) -> None:
    """So that documents of before keep their bytes."""
    told = plan.model_dump()["proof"]
    assert not {"levels", "graph_gap_s", "network_gap_s"} & told.keys()
