"""What a document may leave out altogether, so that the run does without it: listed, but nothing is filled in.

The document itself shows that it is left out, so no digest needs these.
"""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.plan_document import Assumption
from optimiser.case.pointer import pointer
from optimiser.case.process_document import Mixes

_MOST_NAMES = 6


def taken_as_absent(document: CaseDocument) -> Iterator[Assumption]:
    yield from _vents_without_hose(document)
    yield from _supply(document)


def _vents_without_hose(document: CaseDocument) -> Iterator[Assumption]:
    """One entry for all of them; a vent on a feed line is a pipe in any case."""
    vents = document.vents
    names = [vent.name for vent in vents if vent.pot_hose_bore_mm is None and vent.on_line is None]
    if not names:
        return
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    at = "every vent" if len(names) == len(vents) > 1 else ", ".join(names[:_MOST_NAMES]) + more
    yield Assumption(
        path=pointer("vents"),
        value=f"full vacuum all along {at} until it is clamped",
        why="pot_hose_bore_mm is not stated; a long, thin or flooded hose holds less",
    )


def _supply(document: CaseDocument) -> Iterator[Assumption]:
    supply = document.supply
    if supply.supply_hose is None:
        yield Assumption(
            path=pointer("supply", "supply_hose"),
            value="no hose before the manifold",
            why="nothing is lost on the way to the manifold, and no open tap takes pressure from another",
        )
    if isinstance(supply, Mixes):
        yield Assumption(
            path=pointer("supply", "mix_kg"),
            value="mixed by somebody who tends no tap",
            why=f"the hands of the crew, {document.crew.hands}, are counted at taps and vents alone",
        )
    if isinstance(supply, Mixes) and supply.minutes_per_mix is None:
        yield Assumption(
            path=pointer("supply", "minutes_per_mix"),
            value="0 min for a mix",
            why="a mix counts as ready when its initiator goes in; time it",
        )
