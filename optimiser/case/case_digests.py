"""Digests of what a plan rests on: the part as it lies, the resin, and how the shot is run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from optimiser.case.canonical_digest import canonical_digest
from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import keys_of
from optimiser.case.read_case import Case

PART_BLOCKS: Final = (
    "sheet",
    "reinforcements",
    "cores",
    "flow_meshes",
    "laminates",
    "areas",
    "feed_lines",
    "vents",
    "race_tracks",
)
RESIN_BLOCKS: Final = ("resin",)
SETTINGS_BLOCKS: Final = ("supply", "process", "crew", "rules", "search")


@dataclass(frozen=True, kw_only=True)
class CaseDigests:
    """SHA-256 of canonical JSON. What a value assumed is no value stated, here as in the digest of the case."""

    part: str
    resin: str
    settings: str


def digests_of(case: Case) -> CaseDigests:
    assumed = [assumption.path for assumption in case.values_taken]
    return CaseDigests(
        part=_digest(case.document, PART_BLOCKS, assumed),
        resin=_digest(case.document, RESIN_BLOCKS, assumed),
        settings=_digest(case.document, SETTINGS_BLOCKS, assumed),
    )


def _digest(document: CaseDocument, blocks: tuple[str, ...], assumed: Iterable[str]) -> str:
    return canonical_digest(
        {
            "case": document.model_dump(mode="json", include=set(blocks)),
            "assumed": sorted(path for path in assumed if next(iter(keys_of(path)), "") in blocks),
        }
    )
