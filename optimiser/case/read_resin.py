"""From plain data to a resin whose data agree with each other; faults point under /resin, as in a case."""

from __future__ import annotations

from optimiser.case.assumed import with_assumptions
from optimiser.case.check_resin import resin_faults
from optimiser.case.document_shape import DocumentShape
from optimiser.case.resin_document import ResinDocument
from optimiser.case.shape_faults import validated
from optimiser.errors import InputError


class _OnlyResin(DocumentShape):
    resin: ResinDocument


def resin_of_block(block: object) -> ResinDocument:
    """The resin block of a case, what may be left out filled in; InputError with every fault found."""
    filled, _ = with_assumptions({"resin": block})
    resin = validated(_OnlyResin, {"resin": filled["resin"]}).resin
    faults = tuple(resin_faults(resin))
    if faults:
        raise InputError(faults)
    return resin
