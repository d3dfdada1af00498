"""Run sheets and tap labels of what a run has had planned, drawn as the service draws them."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sqlalchemy import select

from api.readers.work import drawn
from api.reports.files_to_print import files_to_print
from api.reports.report_document import RevalidationReport
from api.reports.report_words import has_new_sheet
from api.settings import Settings
from api.store.open import ready_store
from api.store.tables import plans
from optimiser.run_sheet.standing import Standing

_FORMS = {"run sheet": "run-sheet.pdf", "tap labels": "tap-labels.pdf"}


def sheets_to_print(
    settings: Settings, report: RevalidationReport, *, tell: Callable[[str], None]
) -> Iterator[tuple[str, bytes]]:
    """Place beside the report, and content. A plan that cannot be drawn is told and left out: the others are needed."""
    wanted = {item.replan_sheet: item.replan_plan_id for item in report.items if has_new_sheet(item)}
    if not wanted:
        return
    with ready_store(settings, may_begin=False) as store:
        for number, (sheet, plan_id) in enumerate(wanted.items(), start=1):
            tell(f"Drawing sheet {sheet}, {number} of {len(wanted)}")
            with store.read() as connection:
                document = connection.execute(select(plans.c.document).where(plans.c.id == plan_id)).scalar_one()
            try:
                files = [
                    (name, drawn(document, _FORMS[what], Standing())) for what, name in files_to_print(sheet).items()
                ]
            except Exception as error:
                tell(f"Sheet {sheet} cannot be drawn ({error}): ask the service for /v1/plans/{plan_id}/run-sheet.pdf")
            else:
                yield from files
