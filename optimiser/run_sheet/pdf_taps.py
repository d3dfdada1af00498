"""The tap table of the PDF: one block per trigger, which stays on one page where it fits."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether, Table

from optimiser.run_sheet.pdf_blocks import (
    BLACK,
    TINT,
    Cell,
    OrderNumber,
    TickBox,
    fitted,
    marked,
    plain,
    table,
    words,
)
from optimiser.run_sheet.rows import StepGroup, StepRow

HEADS = ("Done", "No.", "Do", "Label", "Expected (range)", "Done at")
COLUMNS = (13 * mm, 16 * mm, 35 * mm, 55 * mm, 42 * mm, 25 * mm)


def head_row() -> Table:
    """The names of the columns, printed above the first block and again on each page that goes on."""
    return table([[words(head, 9, bold=True) for head in HEADS]], COLUMNS)


def tap_block(group: StepGroup) -> KeepTogether:
    """A trigger and its steps. No step is torn apart.

    Where the block is longer than a page, its trigger is repeated.
    """
    rows: list[list[Cell]] = [[_trigger(group), "", "", "", "", ""]]
    rows += [_cells(row) for row in group.rows]
    block = table(
        rows,
        COLUMNS,
        heads=1,
        style=[
            ("SPAN", (0, 0), (-1, 0)),
            ("BACKGROUND", (0, 0), (-1, 0), TINT),
            ("LINEABOVE", (0, 0), (-1, 0), 2.5, BLACK),
            ("LINEBEFORE", (5, 1), (5, -1), 0.7, BLACK),
            ("BOTTOMPADDING", (0, 0), (-1, 0), 4),
        ],
    )
    return KeepTogether([block])


def _trigger(group: StepGroup) -> list[Cell]:
    said = f"{group.call}: {group.says}" if group.says else group.call
    cells = [words(said, 13, bold=True)]
    if group.backup:
        cells.append(words(f"Cannot see it? {group.backup}.", 11))
    if len(group.rows) > 1:
        cells.append(words(group.count, 9))
    return cells


def _cells(row: StepRow) -> list[Cell]:
    return [
        TickBox(),
        OrderNumber(row.order, filled=row.fills),
        [fitted(row.action, COLUMNS[2] - 6, largest=17, smallest=17), words(row.what, 9)],
        [fitted(row.label, COLUMNS[3] - 6, largest=24, smallest=9, height=34), *_own(row)],
        _expected(row),
        "",
    ]


def _own(row: StepRow) -> list[Cell]:
    own = [words(row.own_trigger, 10.5)] if row.own_trigger else []
    return own + ([words(f"Cannot see it? {row.own_backup}.", 9.5)] if row.own_backup else [])


def _expected(row: StepRow) -> list[Cell]:
    spread = f' <font size="11">({plain(row.spread)})</font>' if row.spread else ""
    lines: list[Cell] = [marked(f"<b>{plain(row.minute)}</b>{spread}", 16)]
    return [*lines, words(row.amount, 9)] if row.amount else lines
