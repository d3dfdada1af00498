"""The forms in which a plan is served. What draws is loaded with the first drawing, not with the service."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from starlette.responses import Response

from api.http.etags import answer_unless_known
from api.http.not_found import found
from api.store.database import Database
from api.store.plans import find_plan
from optimiser import __version__
from optimiser.case.plan_document import PlanDocument

_STYLED_PAGE = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@dataclass(frozen=True, kw_only=True)
class Representation:
    """One form. What it shows is drawn from plan.json alone."""

    name: str
    media_type: str
    render: Callable[[PlanDocument], str | bytes] | None
    """None: plan.json itself, as it stands in the store."""


def _html(plan: PlanDocument) -> str:
    from optimiser.run_sheet.html import render_html

    return render_html(plan)


def _pdf(plan: PlanDocument) -> bytes:
    from optimiser.run_sheet.pdf import render_pdf

    return render_pdf(plan)


def _map(plan: PlanDocument) -> str:
    from optimiser.run_sheet.wet_out_map import wet_out_map_svg

    return wet_out_map_svg(plan)


def _tap_labels(plan: PlanDocument) -> bytes:
    from optimiser.run_sheet.tap_labels import render_tap_labels_pdf

    return render_tap_labels_pdf(plan)


PLAN_JSON = Representation(name="plan.json", media_type="application/json", render=None)
RUN_SHEET = Representation(name="run-sheet", media_type="text/html", render=_html)
RUN_SHEET_PDF = Representation(name="run-sheet.pdf", media_type="application/pdf", render=_pdf)
MAP = Representation(name="map.svg", media_type="image/svg+xml", render=_map)
TAP_LABELS = Representation(name="tap-labels.pdf", media_type="application/pdf", render=_tap_labels)


def represent(request: Request, store: Database, plan_id: str, form: Representation) -> Response:
    """The plan in this form. A drawn form has a weak tag: it names plan and program, not the bytes."""
    with store.read() as connection:
        plan = found(find_plan(connection, plan_id))
    etag = f'"{plan.sha256}"' if form.render is None else f'W/"{plan.sha256}-{form.name}-{__version__}"'

    def content() -> str | bytes:
        if form.render is None:
            return str(plan.document)
        return form.render(PlanDocument.model_validate_json(plan.document))

    headers = {} if form.render is None else {"Content-Security-Policy": _STYLED_PAGE}
    return answer_unless_known(
        request, etag=etag, media_type=form.media_type, headers=headers, render=content
    )


def responses_of(form: Representation) -> dict[int | str, dict[str, Any]]:
    """What the OpenAPI page says about the form."""
    return {200: {"description": form.name, "content": {form.media_type: {"schema": {"type": "string"}}}}}
