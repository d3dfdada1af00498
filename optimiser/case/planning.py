"""From a case to a plan: what every door calls."""

from __future__ import annotations

from collections.abc import Callable

from optimiser.case.check_sequence import check_sequence
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.read_back import ReadBack, read_back
from optimiser.case.read_case import Case
from optimiser.case.remedies.find import find_remedies
from optimiser.case.write_plan import plan_document
from optimiser.errors import InputError
from optimiser.filling.many_runs import RunCarrier
from optimiser.part.sequence import Sequence
from optimiser.plan.patience import Patience
from optimiser.plan.plan_shot import check_shot, plan_shot
from optimiser.plan.result import Progress

__all__ = ["Patience", "Progress", "ReadBack", "check_sequence_of_case", "plan_case", "read_back"]


def plan_case(
    case: Case,
    *,
    progress: Callable[[Progress], None] | None = None,
    workers: int | None = None,
    carrier: RunCarrier | None = None,
    patience: Patience | None = None,
) -> PlanDocument:
    """Choose and verify a sequence. 'Not admissible' is a verdict of the plan, not an error.

    `workers` and `carrier` say where the network runs are done and change no digit of the plan: by default one
    process for each core of this machine; the carrier, if given, stays open. `patience` ends planning early with the
    best sequence so far, verified; the plan then says so, and is not repeatable.

    Raises NotConvergedError if a network run stops without an answer that may be believed.
    """
    result = plan_shot(case.shot, listen=progress, workers=workers, carrier=carrier, patience=patience)
    plan = plan_document(case, result)
    if plan.verdict is Verdict.VERIFIED or plan.cut_short is not None or case.document.search.remedies is False:
        return plan

    def tell(phase: str, share: float) -> None:
        if progress is not None:
            progress(Progress(phase=phase, fraction=0.99 + 0.01 * share))

    remedies = find_remedies(case, result, tell=tell, workers=workers, carrier=carrier)
    return plan.model_copy(update={"remedies": remedies})


def check_sequence_of_case(
    case: Case,
    sequence: Sequence,
    *,
    progress: Callable[[Progress], None] | None = None,
    workers: int | None = None,
    carrier: RunCarrier | None = None,
) -> PlanDocument:
    """Play a sequence that somebody else wrote; `workers` and `carrier` as for `plan_case`.

    Raises InputError if the sequence does not fit the case.
    """
    faults = check_sequence(sequence, case.shot)
    if faults:
        raise InputError(faults)
    result = check_shot(case.shot, sequence, listen=progress, workers=workers, carrier=carrier)
    return plan_document(case, result)
