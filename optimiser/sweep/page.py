"""A sweep as one self-contained page to read and to print: no script, nothing fetched, black on white."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Final

from jinja2 import Template

from optimiser.case.printed_minutes import limit_min, wet_out_min
from optimiser.run_sheet import ink
from optimiser.run_sheet.cautions import CAUTIONS, DEFER
from optimiser.run_sheet.page_template import inline_drawing, page_template
from optimiser.run_sheet.wording import to_have, weighed
from optimiser.sweep import words
from optimiser.sweep.plot import plot_svg
from optimiser.sweep.sweep_document import SweepCell, SweepDocument, slowest

TEMPLATE: Final = "sweep.html.j2"


@dataclass(frozen=True, kw_only=True)
class Row:
    """A level of initiator as printed."""

    level: str
    own: bool
    bad: bool
    """The sequence must not be shot."""
    word: str
    margin: str
    limit: str
    gel_time: str
    initiator: str


@dataclass(frozen=True, kw_only=True)
class Group:
    """A temperature as printed; what the front does is the same at all its levels, else that of the slowest stands."""

    temperature: str
    """Of the mould."""
    resin_temperature: str
    """Where it is another."""
    wet_out: str
    latest: str
    resin: str
    found_by: str
    rows: list[Row]


def render_html(sweep: SweepDocument) -> str:
    """The whole page; the same sweep gives the same page, byte for byte."""
    shown = {cell.state for cell in sweep.cells}
    return _template().render(
        sweep=sweep,
        alarm=sweep.own.state in words.BAD,
        most_margin=words.most_margin_words(sweep),
        own=words.own_words(sweep),
        plot=inline_drawing(plot_svg(sweep), label="Wet-out, gel limits and margins"),
        groups=[
            _group([sweep.cell(each_c, level) for level in sweep.levels_percent]) for each_c in sweep.temperatures_c
        ],
        means=[(words.STATE_WORDS[state], text) for state, text in words.STATE_MEANS.items() if state in shown],
        reasons=words.reason_lines(sweep),
        words=words,
        cautions=CAUTIONS,
        defer=DEFER,
        ink=ink,
    )


def _group(cells: list[SweepCell]) -> Group:
    judged = slowest(cells) or cells[0]
    same = judged.resin_temperature_c == judged.mould_temperature_c
    rows = [_row(cell) for cell in cells]
    if judged.way is None and not any(cell.own for cell in cells):
        rows = [replace(rows[0], level="all levels")]
    return Group(
        temperature=f"{judged.mould_temperature_c:g} °C",
        resin_temperature="" if same else f"resin {judged.resin_temperature_c:g} °C",
        wet_out=_tenths(wet_out_min(judged.wet_out_s)),
        latest=_tenths(wet_out_min(judged.latest_wet_out_s)),
        resin="" if judged.resin_kg is None else to_have(judged.resin_kg),
        found_by=words.way_word(judged),
        rows=rows,
    )


def _row(cell: SweepCell) -> Row:
    return Row(
        level=f"{cell.initiator_percent:g} %",
        own=cell.own,
        bad=cell.state in words.BAD,
        word=words.state_word(cell),
        margin=words.signed_margin(cell),
        limit=_tenths(limit_min(cell.gel_limit_s)),
        gel_time=_tenths(limit_min(cell.gel_time_s)),
        initiator="" if cell.initiator_kg is None else weighed(cell.initiator_kg),
    )


def _tenths(minutes: float | None) -> str:
    return "" if minutes is None else f"{minutes:.1f}"


@cache
def _template() -> Template:
    return page_template(Path(__file__).with_name(TEMPLATE))
