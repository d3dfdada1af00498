"""The run sheet as one self-contained page: styles and map inside, no script, nothing fetched."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from jinja2 import Template
from markupsafe import Markup, escape

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet import ink
from optimiser.run_sheet.contents import contents_of
from optimiser.run_sheet.drawings import Drawings
from optimiser.run_sheet.go_ahead import go_ticks, own_trigger
from optimiser.run_sheet.page_template import inline_drawing, page_template
from optimiser.run_sheet.typeface import visible
from optimiser.run_sheet.wording import BOX

TEMPLATE = "run_sheet.html.j2"


def render_html(plan: PlanDocument, drawings: Drawings | None = None) -> str:
    """The whole run sheet; the same plan gives the same page, byte for byte."""
    sheet = contents_of(plan)
    ticks = go_ticks(checks_at="'Before the shot' below", cautions_at="below", start=sheet.start)
    rule = own_trigger("below" if sheet.due_together else None)
    drawn = drawings or Drawings(plan)
    drawing = inline_drawing(drawn.wet_out_svg, label="Wet-out map")
    thickness = None if drawn.thickness_svg is None else inline_drawing(drawn.thickness_svg, label="Thickness map")
    return _template().render(
        sheet=sheet, go_ticks=ticks, own_trigger=rule, map=drawing, thickness=thickness, ink=ink
    )


@cache
def _template() -> Template:
    filters = {"css_string": _css_string, "with_boxes": _with_boxes}
    return page_template(Path(__file__).with_name(TEMPLATE), filters=filters)


def _css_string(text: str) -> Markup:
    """Text inside a quoted CSS string: all but plain letters, figures and a few signs by code point."""
    return Markup(re.sub(r"[^A-Za-z0-9 .,:+-]", lambda found: f"\\{ord(found[0]):06x}", visible(text)))


def _with_boxes(text: str) -> Markup:
    """The boxes within the sentence drawn large enough to tick."""
    return escape(visible(text)).replace(BOX, Markup('<span class="tick" role="img" aria-label="box to tick"></span>'))
