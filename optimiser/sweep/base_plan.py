"""The plan whose sequence is swept: a stored one as it stands, else its sequence checked in the case."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from optimiser import __version__
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import Case
from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.case.read_text import read_data
from optimiser.case.shape_faults import validated
from optimiser.plan.result import Progress


def base_plan(case: Case, source: Path | bytes, *, progress: Callable[[Progress], None] | None = None) -> PlanDocument:
    """The plan.json, where it was made for this very case by this version; else what checking its sequence finds.

    `source` may be a sequence too. InputError where it is neither or does not fit the case.
    """
    data = read_data(source)
    if isinstance(data, Mapping) and "verdict" in data:
        plan = validated(PlanDocument, data)
        if (plan.case_digest, plan.tapcall_version) == (case.digest, __version__):
            return plan
    return check_sequence_of_case(case, sequence_from_mapping(data), progress=progress)
