"""The run sheet as one self-contained page: styles and map inside, no script, nothing fetched."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup, escape

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet import ink
from optimiser.run_sheet.contents import contents_of
from optimiser.run_sheet.go_ahead import go_ticks
from optimiser.run_sheet.typeface import shortened, visible
from optimiser.run_sheet.wet_out_map import wet_out_map_svg
from optimiser.run_sheet.wording import BOX

LONGEST_TEXT = 600
TEMPLATE = "run_sheet.html.j2"


def render_html(plan: PlanDocument) -> str:
    """The whole run sheet; the same plan gives the same page, byte for byte."""
    ticks = go_ticks(checks_at="'Before the shot' below", cautions_at="below")
    drawing = _inline(wet_out_map_svg(plan))
    return _template().render(sheet=contents_of(plan), go_ticks=ticks, map=drawing, ink=ink)


@cache
def _template() -> Template:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_safe_to_read,
    )
    environment.filters["css_string"] = _css_string
    environment.filters["with_boxes"] = _with_boxes
    return environment.get_template(TEMPLATE)


def _safe_to_read(value: object) -> object:
    """Hidden characters shown and endless text cut, in whatever the template prints."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return shortened(visible(value), LONGEST_TEXT) if value.strip() else value
    return value


def _css_string(text: str) -> Markup:
    """Text inside a quoted CSS string: all but plain letters, figures and a few signs by code point."""
    return Markup(re.sub(r"[^A-Za-z0-9 .,:+-]", lambda found: f"\\{ord(found[0]):06x}", visible(text)))


def _with_boxes(text: str) -> Markup:
    """The boxes within the sentence drawn large enough to tick."""
    return escape(visible(text)).replace(BOX, Markup('<span class="tick" role="img" aria-label="box to tick"></span>'))


def _inline(svg: str) -> Markup:
    """The drawing without its XML head, for use inside a page; it was drawn here, so it needs no escaping."""
    body = svg[svg.index("<svg") :]
    return Markup(body.replace("<svg ", '<svg role="img" aria-label="Wet-out map" ', 1))
