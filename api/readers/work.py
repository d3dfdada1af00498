"""What the reading processes do: from bytes to what the store keeps, and from plan.json to what a person reads.

Imports stand within the functions: the service carries the names, its readers the weight.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from api.store.cases import NewCase
from api.store.documents import DocumentKind, NewRevision

if TYPE_CHECKING:
    from optimiser.case.resin_sheet_document import ResinSheetDocument
    from optimiser.errors import Fault
    from optimiser.run_sheet.standing import Standing

_OBJECTS_OF_A_DOCUMENT = 20_000
"""They go by themselves when it has been read; to look for rings among them takes a twelfth of the time of reading."""


def read_nothing() -> None:
    """Load what reading needs, so that nobody who sends something waits for it."""
    import optimiser.case.compose_case  # noqa: F401

    gc.freeze()  # it stays: looking through it again and again would take a tenth of the time of reading
    gc.set_threshold(_OBJECTS_OF_A_DOCUMENT)


def layout_of(source: bytes) -> NewRevision:
    """A layout that may be kept; InputError with every fault found."""
    from optimiser.case.read_case import read_case

    case = read_case(source)
    return NewRevision(kind=DocumentKind.LAYOUT, name=case.document.name, digest=case.digest, source=source)


def resin_of(source: bytes) -> NewRevision:
    """A resin that may be kept; InputError with every fault found."""
    from optimiser.case.resin_of_batch import faults_of_batches
    from optimiser.case.resin_sheet_document import read_resin_sheet
    from optimiser.errors import InputError

    sheet = read_resin_sheet(source)
    if faults := [*_tests_to_come(sheet.document), *faults_of_batches(sheet)]:
        raise InputError(faults)
    return NewRevision(kind=DocumentKind.RESIN, name=sheet.document.name, digest=sheet.digest, source=source)


def _tests_to_come(sheet: ResinSheetDocument) -> Iterator[Fault]:
    """The newest test of a batch counts: one dated by mistake in years to come would beat all real ones till then."""
    from optimiser.errors import Fault

    latest = datetime.now(UTC) + timedelta(days=1)
    for place, batch in enumerate(sheet.batches):
        for kind in ("gel_tests", "viscosity_tests"):
            for number, test in enumerate(getattr(batch, kind)):
                if test.tested_at > latest:
                    yield Fault(
                        path=f"/batches/{place}/{kind}/{number}/tested_at",
                        found=test.tested_at.isoformat(),
                        expected="a time that has been",
                        remedy="correct the date",
                    )


def case_of(
    layout: bytes, *, resin: bytes | None, batch: str | None, changes: Mapping[str, Any] | None
) -> NewCase:
    """The whole case: the layout with the resin of the batch in place of its own, and the changes applied."""
    from optimiser.case.compose_case import compose_case
    from optimiser.case.read_text import read_data

    data = read_data(layout)
    assert isinstance(data, Mapping)
    block = None if resin is None else _resin_block(resin, batch, data)
    composed = compose_case(data, resin=block, changes=changes)
    unchanged = block is None and not changes
    return NewCase(
        digest=composed.case.digest,
        name=composed.case.document.name,
        source=layout if unchanged else json.dumps(composed.data, ensure_ascii=False).encode(),
        part_digest=composed.digests.part,
        resin_digest=composed.digests.resin,
        settings_digest=composed.digests.settings,
    )


def change_of(written: Mapping[str, Any], *, resin: bytes | None, batch: str | None) -> tuple[str, list[str]]:
    """A change as JSON, with the resin of the batch in it, and in words; InputError with every fault found."""
    from optimiser.case.assumed import NO_BATCH
    from optimiser.case.change_document import change_words, read_change
    from optimiser.case.resin_of_batch import resin_of_batch, usable_level_percent
    from optimiser.case.resin_sheet_document import read_resin_sheet

    data: dict[str, Any] = dict(written)
    words: tuple[str, ...] = ()
    if resin is not None:
        sheet = read_resin_sheet(resin)
        # Only so that the block is whole: where no level is asked for, each shot keeps its own.
        level_percent = data.get("initiator_level_percent", usable_level_percent(sheet.document))
        block, words = resin_of_batch(sheet, batch, level_percent)
        data["resin"] = {"batch": NO_BATCH, **block}
    change = read_change(data)
    return change.model_dump_json(exclude_none=True), [*change_words(change), *words]


def refuse_test_beyond_data(change: str, facts: Sequence[str]) -> None:
    """InputError at /change/gel_test where the change has one that no resin among these facts of plans reaches.

    Where one of them does, the run tells of the others; of facts that another version kept nothing is known.
    """
    from optimiser.case.change_document import ChangeDocument, changed_resin
    from optimiser.case.resin_document import ResinDocument
    from optimiser.errors import InputError

    asked, beyond = ChangeDocument.model_validate_json(change), None
    for text in facts:
        try:
            changed_resin(ResinDocument.model_validate(json.loads(text)["resin"]), asked)
            return
        except InputError as error:
            beyond = error.faults[0]
        except (KeyError, TypeError, ValueError):
            return
        if beyond.path != "/gel_test":
            return
    if beyond is not None:
        raise InputError([replace(beyond, path="/change/gel_test")])


def sequence_of(source: Mapping[str, Any], case: bytes) -> str:
    """The sequence as JSON, one text for one content; InputError under /sequence where it does not suit the case."""
    from optimiser.case.check_sequence import check_sequence
    from optimiser.case.read_case import read_case
    from optimiser.case.read_sequence import sequence_from_mapping
    from optimiser.case.sequence_document import sequence_to_document
    from optimiser.errors import InputError

    try:
        sequence = sequence_from_mapping(source)
        if faults := check_sequence(sequence, read_case(case).shot):
            raise InputError(faults)
    except InputError as error:
        raise InputError(replace(fault, path=f"/sequence{fault.path}") for fault in error.faults) from error
    return sequence_to_document(sequence).model_dump_json()


def described_layout(source: bytes) -> dict[str, Any]:
    """The case as it was written, what was assumed in it, and what is odd about it."""
    from optimiser.case.read_case import case_from_mapping
    from optimiser.case.read_text import read_data

    written = read_data(source)
    case = case_from_mapping(written)
    return {
        "case": written,
        "assumptions": [assumption.model_dump() for assumption in case.assumptions],
        "warnings": list(case.warnings),
    }


def described_resin(source: bytes) -> dict[str, Any]:
    """The data sheet as it was written."""
    from optimiser.case.read_text import read_data

    return {"sheet": read_data(source)}


def drawn(plan: str, form: str, standing: Standing) -> bytes:
    """The kept plan as it stands, in one of the forms that `api.http.representations` lists."""
    from optimiser.run_sheet.identity import kept_plan
    from optimiser.run_sheet.standing import as_it_stands

    document = as_it_stands(kept_plan(plan), standing)
    if form == "run-sheet":
        from optimiser.run_sheet.html import render_html

        return render_html(document).encode()
    if form == "run-sheet.pdf":
        from optimiser.run_sheet.pdf import render_pdf

        return render_pdf(document)
    if form == "map.svg":
        from optimiser.run_sheet.wet_out_map import wet_out_map_svg

        return wet_out_map_svg(document).encode()
    from optimiser.run_sheet.tap_labels import render_tap_labels_pdf

    return render_tap_labels_pdf(document)


def _resin_block(resin: bytes, batch: str | None, layout: Mapping[str, Any]) -> Mapping[str, Any]:
    from optimiser.case.resin_of_batch import resin_of_batch
    from optimiser.case.resin_sheet_document import read_resin_sheet

    level_percent = float(layout["resin"]["initiator"]["level_percent"])
    block, _words = resin_of_batch(read_resin_sheet(resin), batch, level_percent)
    return block


def schema_of(name: str) -> dict[str, Any]:
    """The JSON Schema of a case, a sequence, a resin or a plan."""
    from optimiser.case.plan_document import PlanDocument
    from optimiser.case.resin_sheet_document import ResinSheetDocument
    from optimiser.case.schema import case_schema, sequence_schema

    if name in ("case", "sequence"):
        return case_schema() if name == "case" else sequence_schema()
    return (ResinSheetDocument if name == "resin" else PlanDocument).model_json_schema()


def report_as_csv(report: str) -> bytes:
    from api.reports.as_csv import render_csv
    from api.reports.report_document import RevalidationReport

    return render_csv(RevalidationReport.model_validate_json(report))


def report_as_xlsx(report: str) -> bytes:
    from api.reports.as_xlsx import render_xlsx
    from api.reports.report_document import RevalidationReport

    return render_xlsx(RevalidationReport.model_validate_json(report))


def report_as_html(report: str) -> bytes:
    from api.reports.as_html import render_html
    from api.reports.report_document import RevalidationReport

    return render_html(RevalidationReport.model_validate_json(report)).encode()
