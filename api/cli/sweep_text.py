"""A sweep in a short table of plain text: a row for each temperature, a column for each level."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from optimiser.case.printed_minutes import wet_out_min
from optimiser.sweep.sweep_document import SweepCell, SweepDocument, slowest
from optimiser.sweep.words import (
    CAUTION,
    PRINT_AGAIN,
    course_words,
    limit_words,
    most_margin_words,
    own_words,
    reason_lines,
    resin_words,
    signed_margin,
    state_word,
    tight_words,
    way_word,
)

_CELL = 15
_OWN = "*"


def sweep_text(sweep: SweepDocument, written: list[Path]) -> str:
    return "\n".join(line.rstrip() for line in _lines(sweep, written))


def _lines(sweep: SweepDocument, written: list[Path]) -> Iterator[str]:
    yield f"{sweep.case_name}, {sweep.resin}, batch {sweep.batch}: the sequence {sweep.sequence_from}"
    yield (
        f"Margin, min: {limit_words(sweep)}, less wet-out. {resin_words(sweep)} "
        f"{course_words(sweep)} {_OWN} is the case's own setting."
    )
    heads = "".join(f"{f'{level:g} %':>{_CELL}}" for level in sweep.levels_percent)
    yield f"{'°C':>6} {'wet-out min':>12} {'resin kg':>9}  {'found by':<12}{heads}"
    for each_c in sweep.temperatures_c:
        yield _row(each_c, [sweep.cell(each_c, level) for level in sweep.levels_percent])
    yield from tight_words(sweep)
    yield from reason_lines(sweep)
    yield from sweep.notes
    yield own_words(sweep)
    yield most_margin_words(sweep)
    yield PRINT_AGAIN
    yield f"Caution: {CAUTION}"
    yield from (f"Wrote {path}" for path in written)


def _row(temperature_c: float, cells: list[SweepCell]) -> str:
    judged = slowest(cells)
    wet_out = "" if judged is None else f"{wet_out_min(judged.wet_out_s) or 'never'}"
    resin = "" if judged is None or judged.resin_kg is None else f"{judged.resin_kg:.1f}"
    found_by = "" if judged is None else way_word(judged)
    told = "".join(f"{_told(cell):>{_CELL}}" for cell in cells)
    return f"{temperature_c:>6g} {wet_out:>12} {resin:>9}  {found_by:<12}{told}"


def _told(cell: SweepCell) -> str:
    return f"{signed_margin(cell)} {state_word(cell)}{_OWN if cell.own else ' '}"
