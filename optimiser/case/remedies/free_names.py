"""Names that nothing in the case has yet."""

from __future__ import annotations

from itertools import count, islice

from optimiser.case.case_document import CaseDocument


def free_names(document: CaseDocument, stem: str, many: int) -> list[str]:
    """'N1', 'N2' and so on; told apart from every line, tap and vent by more than capitals."""
    taken = {vent.name for vent in document.vents} | {line.name for line in document.feed_lines}
    taken |= {line.label_of(section) for line in document.feed_lines for section in line.sections}
    used = {name.casefold() for name in taken}
    named = (f"{stem}{k}" for k in count(1))
    return list(islice((name for name in named if name.casefold() not in used), many))
