"""The forms in which a plan is served; they are drawn in the reading processes."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256

from starlette.responses import Response

from api.http.answers import ETAG, NOT_CHANGED, Answers, answer, file
from api.http.etags import answer_unless_known
from api.http.not_found import found
from api.readers.pool import ReaderPool
from api.readers.work import drawn
from api.store.database import Database
from api.store.plans import find_plan
from api.store.standing import standing_of
from optimiser import __version__
from optimiser.run_sheet.standing import Standing

_STYLED_PAGE = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@dataclass(frozen=True, kw_only=True)
class Representation:
    """One form. What it shows is drawn from plan.json alone."""

    name: str
    """As `api.readers.work.drawn` knows it."""
    media_type: str


PLAN_JSON = Representation(name="plan.json", media_type="application/json")
RUN_SHEET = Representation(name="run-sheet", media_type="text/html")
RUN_SHEET_PDF = Representation(name="run-sheet.pdf", media_type="application/pdf")
MAP = Representation(name="map.svg", media_type="image/svg+xml")
TAP_LABELS = Representation(name="tap-labels.pdf", media_type="application/pdf")


def represent(
    known: str | None, store: Database, readers: ReaderPool, plan_id: str, form: Representation
) -> Response:
    """The plan in this form. A drawn form has a weak tag: it names plan, standing and program, not the bytes."""
    with store.read() as connection:
        plan = found(find_plan(connection, plan_id))
        standing = Standing() if form is PLAN_JSON else standing_of(connection, plan_id)
    if form is PLAN_JSON:
        return answer_unless_known(
            known, etag=f'"{plan.sha256}"', media_type=form.media_type, headers={}, render=lambda: str(plan.document)
        )
    return answer_unless_known(
        known,
        etag=f'W/"{plan.sha256}-{form.name}-{__version__}{_tag(standing)}"',
        media_type=form.media_type,
        headers={"Content-Security-Policy": _STYLED_PAGE},
        render=lambda: readers.run_kept(drawn, plan.document, form.name, standing),
    )


def _tag(standing: Standing) -> str:
    return "" if standing == Standing() else f"-{sha256(repr(standing).encode()).hexdigest()[:16]}"


def answers_of(form: Representation) -> Answers:
    """What the OpenAPI page says about the form."""
    if form is PLAN_JSON:
        return {200: answer(form.name, ETAG), **NOT_CHANGED}
    is_text = form.media_type in (RUN_SHEET.media_type, MAP.media_type)
    return {200: file(form.name, form.media_type, ETAG, is_text=is_text), **NOT_CHANGED}
