"""Consistency of a document whose shape is right: all faults at once, each with its pointer."""

from __future__ import annotations

from optimiser.case.case_document import CaseDocument


def check_case(_document: CaseDocument) -> tuple[str, ...]:
    """Warnings, if the document can be planned; else InputError with every fault, in document order."""
    return ()
