"""A case planned, or a sequence of somebody else checked on it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager

from api.engine.dask_runs import DaskRuns
from api.jobs.attempt import Work, finish_with_plan
from api.jobs.patient_store import until_it_answers
from api.jobs.progress_notes import ProgressNotes
from api.settings import Settings
from api.store.database import Database
from api.store.plans import NewPlan
from optimiser import __version__
from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import Progress, check_sequence_of_case, plan_case
from optimiser.case.read_case import Case, read_case
from optimiser.case.read_sequence import read_sequence
from optimiser.filling.run_carrier import RunCarrier
from optimiser.revalidation.facts import facts_of, facts_to_plain


def answer_case(database: Database, settings: Settings, token: str, work: Work) -> None:
    """Compute the plan and end the job with it."""
    assert work.case is not None
    case, notes = read_case(work.case), ProgressNotes(database, token)

    def listen(at: Progress) -> None:
        notes(at.phase, at.fraction, at.best_wet_out_s)

    with network_runs(settings.engine) as carrier:
        if work.sequence is None:
            plan = plan_case(case, progress=listen, carrier=carrier)
        else:
            sequence = read_sequence(work.sequence.encode())
            plan = check_sequence_of_case(case, sequence, progress=listen, carrier=carrier)
    kept = _kept(case, plan)
    until_it_answers(lambda: finish_with_plan(database, token, kept))


@contextmanager
def network_runs(engine: str | None) -> Iterator[RunCarrier | None]:
    """What carries the runs: the engine where there is one; None: processes of this machine."""
    if engine is None:
        yield None
        return
    carrier = DaskRuns(engine)
    try:
        yield carrier
    finally:
        carrier.close()


def _kept(case: Case, plan: PlanDocument) -> NewPlan:
    return NewPlan(
        document=plan.model_dump_json(),
        verdict=plan.verdict,
        wet_out_s=plan.wet_out_s,
        gel_margin_s=plan.gel_margin_s,
        name=case.document.name,
        resin=case.document.resin.name,
        batch=case.document.resin.batch,
        software_version=__version__,
        facts=json.dumps(facts_to_plain(facts_of(case, plan)), separators=(",", ":")),
    )
