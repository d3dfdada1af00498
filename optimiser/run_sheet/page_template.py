"""Pages that people read: one environment for their templates, and drawings within them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from optimiser.run_sheet.typeface import shortened, visible

LONGEST_TEXT = 600


def page_template(
    file: Path,
    *,
    shown: Callable[[str], str] = visible,
    filters: Mapping[str, Callable[..., Any]] | None = None,
) -> Template:
    """The template, strict and escaping; hidden characters are `shown` and endless text cut in whatever it prints."""

    def safe_to_read(value: object) -> object:
        if isinstance(value, str) and not isinstance(value, Markup):
            return shortened(shown(value), LONGEST_TEXT) if value.strip() else value
        return value

    environment = Environment(
        loader=FileSystemLoader(file.parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=safe_to_read,
    )
    environment.filters.update(filters or {})
    return environment.get_template(file.name)


def inline_drawing(svg: str, *, label: str) -> Markup:
    """The drawing without its XML head, for use inside a page; it was drawn here, so it needs no escaping."""
    body = svg[svg.index("<svg") :]
    return Markup(body.replace("<svg ", f'<svg role="img" aria-label="{label}" ', 1))
