"""A sweep as CSV: RFC 4180, in UTF-8 with a byte order mark, which spreadsheets need; units stand in the heads.

No cell can be taken for a formula (CWE-1236): text of the user stands only behind words of ours.
"""

from __future__ import annotations

import csv
import io

from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min
from optimiser.sweep.sweep_document import SweepCell, SweepDocument
from optimiser.sweep.words import state_word, way_word

HEADS = (
    "mould °C",
    "resin °C",
    "initiator %",
    "own setting",
    "result",
    "margin min",
    "wet-out min",
    "latest wet-out with the spread min",
    "gel time min",
    "gel limit min",
    "viscosity mPa s",
    "resin kg",
    "initiator kg",
    "found by",
    "why",
)
_TEMPERATURES = HEADS[:2]


def render_csv(sweep: SweepDocument) -> bytes:
    """A head and a line for each setting, minutes rounded to the safe side."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n", strict=True)
    lines.writerow(heads(sweep))
    lines.writerows(_row(cell) for cell in sweep.cells)
    return text.getvalue().encode("utf-8-sig")


def heads(sweep: SweepDocument) -> tuple[str, ...]:
    """Where temperatures change over the shot, those that stand here are at the first tap."""
    at = " at the first tap" if sweep.at_first_tap else ""
    return tuple(f"{head}{at}" if head in _TEMPERATURES else head for head in HEADS)


def _row(cell: SweepCell) -> list[str]:
    return [
        f"{cell.mould_temperature_c:g}",
        f"{cell.resin_temperature_c:g}",
        f"{cell.initiator_percent:g}",
        "yes" if cell.own else "",
        state_word(cell),
        _number(margin_min(cell.gel_limit_s, cell.wet_out_s), 1),
        _number(wet_out_min(cell.wet_out_s), 1),
        _number(wet_out_min(cell.latest_wet_out_s), 1),
        _number(limit_min(cell.gel_time_s), 1),
        _number(limit_min(cell.gel_limit_s), 1),
        _number(cell.viscosity_mpa_s, 1),
        _number(cell.resin_kg, 3),
        _number(cell.initiator_kg, 4),
        way_word(cell),
        f"{state_word(cell)}: {cell.reason}" if cell.reason else "",
    ]


def _number(value: float | None, decimals: int) -> str:
    return "" if value is None else f"{value:.{decimals}f}"
