"""From a file, bytes or plain data to a case: checked, with its assumptions listed, in SI."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from optimiser.case.age_at_first_tap import age_assumption
from optimiser.case.assumed import line_end_assumption, with_assumptions
from optimiser.case.build_laminate import assumed_compaction, assumed_through, scaled_permeabilities
from optimiser.case.build_part import assumed_outlets
from optimiser.case.build_shot import shot_of
from optimiser.case.canonical_digest import canonical_digest
from optimiser.case.case_document import CaseDocument
from optimiser.case.check_case import check_case
from optimiser.case.merge_patch import merge_patch
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.plan_document import Assumption
from optimiser.case.read_text import read_data
from optimiser.case.say_found import say_found
from optimiser.case.scatter_values import scatter_assumptions
from optimiser.case.shape_faults import validated
from optimiser.case.taken_as_absent import taken_as_absent
from optimiser.errors import Fault, InputError
from optimiser.part.shot import Shot
from optimiser.units import m3_from_litres, m3_s_from_m3_h, pa_from_mbar, s_from_min


@dataclass(frozen=True, kw_only=True)
class DropTestLimit:
    """The shop's own limit for the rise of pressure in the closed bag."""

    most_rise_pa: float
    duration_s: float
    bag_m3: float | None
    """Air in bag, hoses and pots; None: not stated, so a rise tells no leak."""
    pump_m3_s: float | None


@dataclass(frozen=True, kw_only=True)
class Case:
    """A document that may be planned."""

    document: CaseDocument
    """Complete: assumptions filled in."""
    digest: str
    """SHA-256 of the complete document, and of what in it was assumed, in canonical JSON."""
    filled_in: tuple[Assumption, ...]
    """What was put into the document where the text left something out."""
    warnings: tuple[str, ...]
    """What is odd but does not stop the work."""
    drop_test: DropTestLimit | None

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Everything physical that the text left out."""
        return (*self.values_taken, *taken_as_absent(self.document))

    @cached_property
    def values_taken(self) -> tuple[Assumption, ...]:
        """Every value that the text left out and the physics needs, those that follow from others too."""
        document = self.document
        return (
            *self.filled_in,
            *line_end_assumption(document.process.least_line_end_percent),
            *age_assumption(document),
            *assumed_outlets(document),
            *assumed_compaction(document),
            *scaled_permeabilities(document),
            *assumed_through(document),
            *scatter_assumptions(document),
        )

    @cached_property
    def shot(self) -> Shot:
        """The document in SI; made when it is wanted, as a case that is only kept does without."""
        return shot_of(self.document)


def read_case(source: Path | bytes, *, scenarios: int | None = None) -> Case:
    """The case in a YAML or JSON text; InputError with every fault found, in document order.

    `scenarios` takes the place of what the text says of it, and the case is then the one that says so.
    """
    data = read_data(source)
    if scenarios is not None and isinstance(data, Mapping):
        data = merge_patch(data, {"search": {"scenarios": scenarios}})
    return _case(data)


def case_from_mapping(data: object) -> Case:
    """The case in plain data; InputError with every fault found."""
    refuse_odd_values(data)
    return _case(data)


def digest_of(document: CaseDocument, assumptions: Iterable[Assumption] = ()) -> str:
    """The same for documents that say the same, whatever their layout, comments or order of keys.

    A value that is stated and the same value assumed are not the same: the second plan has to say so.
    """
    assumed = sorted(assumption.path for assumption in assumptions)
    return canonical_digest({"case": document.model_dump(mode="json"), "assumed": assumed})


def _case(data: object) -> Case:
    """From data without odd values."""
    if not isinstance(data, Mapping):
        raise InputError([Fault(path="", found=say_found(data), expected="a mapping: the case document")])
    filled, filled_in = with_assumptions(data)
    document = _document(filled, {assumption.path for assumption in filled_in})
    warnings = check_case(document)
    drop_test = document.process.drop_test
    return Case(
        document=document,
        digest=digest_of(document, filled_in),
        filled_in=filled_in,
        warnings=warnings,
        drop_test=None
        if drop_test is None
        else DropTestLimit(
            most_rise_pa=pa_from_mbar(drop_test.most_rise_mbar),
            duration_s=s_from_min(drop_test.minutes),
            bag_m3=None if drop_test.bag_litres is None else m3_from_litres(drop_test.bag_litres),
            pump_m3_s=None if drop_test.pump_m3_per_h is None else m3_s_from_m3_h(drop_test.pump_m3_per_h),
        ),
    )


def _document(filled: Mapping[str, object], assumed_paths: set[str]) -> CaseDocument:
    """The validated document; a fault at an assumed place is only an echo of one that the user wrote."""
    try:
        return validated(CaseDocument, filled)
    except InputError as error:
        written = [fault for fault in error.faults if fault.path not in assumed_paths]
        raise InputError(written or error.faults) from error
