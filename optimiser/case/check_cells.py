"""How finely a sheet is cut, against what a machine can play and against the lock that the user lets pass."""

from __future__ import annotations

import math
from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.process_document import MOST_CELL_MM
from optimiser.errors import Fault

_MOST_CELLS = 250_000
_LARGEST_SHARE_PASSED = 0.1
"""Of the sheet, our choice: far more than a spot that a laminator would mend."""


def too_many_cells(cell_mm: float, cut_mm2: float) -> Iterator[Fault]:
    """cut_mm2: what is cut into cells, of a flat sheet the rectangle round it."""
    cells = cut_mm2 / cell_mm**2
    if cut_mm2 > _MOST_CELLS * MOST_CELL_MM**2:
        yield Fault(
            path=pointer("sheet"),
            found=f"{cut_mm2 / 1e6:.0f} m2 to be cut into cells",
            expected=f"at most {_MOST_CELLS * MOST_CELL_MM**2 / 1e6:.0f} m2, which are {_MOST_CELLS} cells of "
            f"{MOST_CELL_MM:g} mm",
            remedy="check the unit of its corners, mm; or plan the part in pieces",
        )
    elif cells > _MOST_CELLS:
        yield Fault(
            path=pointer("search", "cell_mm"),
            found=f"{cell_mm:g} mm, which makes {cells:.0f} cells",
            expected=f"at least {math.ceil(10 * cell_mm * (cells / _MOST_CELLS) ** 0.5) / 10:g} mm for this sheet, "
            f"at most {_MOST_CELLS} cells",
        )


def smallest_lock_faults(document: CaseDocument, sheet_mm2: float) -> Iterator[Fault]:
    """A limit that passes a large part of the sheet dry is no limit."""
    sheet_cm2, smallest_cm2 = sheet_mm2 / 100, document.process.smallest_lock_cm2
    if smallest_cm2 >= _LARGEST_SHARE_PASSED * sheet_cm2:
        yield Fault(
            path=pointer("process", "smallest_lock_cm2"),
            found=f"{smallest_cm2:g} cm2",
            expected=f"less than a tenth of the sheet, {_LARGEST_SHARE_PASSED * sheet_cm2:.0f} cm2: "
            "what is locked and smaller passes",
        )
