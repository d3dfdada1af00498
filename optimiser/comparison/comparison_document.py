"""How two plans differ, as a document for programs; the words of the shell are made from it."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict

from optimiser.case.document_shape import DocumentShape
from optimiser.case.plan_document import Reason, Verdict


class PlanSide(DocumentShape):
    """One of the two plans."""

    sheet: str
    """The mark printed at the foot of its run sheet."""
    case_name: str
    """Name of its case."""
    case_digest: str
    """SHA-256 of its case in canonical form."""
    tapcall_version: str
    """Version of the program that made it."""
    verdict: Verdict
    """Whether its sequence meets every requirement."""
    reasons: list[Reason]
    """Why not; empty when verified."""
    mistakes_played: bool
    """Whether it says what single mistakes would do."""
    variations_played: int | None
    """Variations of the day in which it was played; null: none."""


class StepSide(DocumentShape):
    """A step as one of the plans has it."""

    order: int
    """Place among the steps."""
    trigger: str
    """When it is done, in the words of its sheet."""
    expected_at_s: float | None
    """From the start of the shot; null: the run never came to it."""
    backup: str | None
    """What to go by where the call cannot be seen; null: nothing."""
    after: str | None
    """The step before it, as 'open 3'; null: it is the first."""
    turned_at: str | None
    """Name of its manifold; null: none is named."""
    person: int | None
    """Who goes there, from 1; null: nobody walks."""


class StepDifference(DocumentShape):
    """A step that only one plan has, or that is done elsewhere in the order, at another call or by another person."""

    label: str
    """Label on the tap."""
    action: Literal["open", "close", "clamp"]
    """What is done with it."""
    changes: list[
        Literal["added", "gone", "moved", "other_trigger", "other_backup", "other_manifold", "other_person"]
    ]
    """Against plan A. Moved: among the steps that both have; as few as can be are named."""
    a: StepSide | None
    """In plan A; null: added."""
    b: StepSide | None
    """In plan B; null: gone."""


class StepTime(DocumentShape):
    """When a step that both have is expected."""

    label: str
    """Label on the tap."""
    action: Literal["open", "close", "clamp"]
    """What is done with it."""
    a_s: float | None
    """In plan A, from the start of the shot."""
    b_s: float | None
    """In plan B."""
    a_range_s: tuple[float | None, float | None]
    """Between when it is to be expected, as on the sheet of plan A; null: not known."""
    b_range_s: tuple[float | None, float | None]
    """The same of plan B."""


class MistakeSide(DocumentShape):
    """The worst single mistake with a step, as one of the plans has it."""

    mistake: Literal["skipped", "swapped_with_next", "late"]
    """Never done; mixed up with another step; done late."""
    other_label: str | None
    """Label on the tap that it is mixed up with."""
    does: str
    """What comes of it, in the words of the sheet."""
    spoils: bool
    """Air is locked, a place stays dry or it gels."""


class MistakeDifference(DocumentShape):
    """A step whose worst single mistake is another, or does something else."""

    label: str
    """Label on the tap."""
    action: Literal["open", "close", "clamp"]
    """What is done with it."""
    a: MistakeSide | None
    """In plan A; null: it has no such step."""
    b: MistakeSide
    """In plan B."""


class Amount(DocumentShape):
    """A number that differs."""

    what: str
    """Its name."""
    unit: str
    """Of both numbers; empty: a count."""
    a: float | None
    """In plan A; null: there is none."""
    b: float | None
    """In plan B."""


class Words(DocumentShape):
    """A text that differs."""

    what: str
    """Its name."""
    a: str | None
    """In plan A; null: there is none."""
    b: str | None
    """In plan B."""


class Comparison(DocumentShape):
    """Plan B against plan A. Only what differs is listed."""

    model_config = ConfigDict(json_schema_serialization_defaults_required=True)

    schema_version: Literal[1] = 1
    """Of this form of document."""
    plan_a: PlanSide
    """The first plan."""
    plan_b: PlanSide
    """The second."""
    same_case: bool
    """Both were made for the same case, to the letter of its digest."""
    steps: list[StepDifference]
    """What the crew does otherwise, in the order of plan B, what is gone last."""
    step_times: list[StepTime]
    """Every step that both have, in the order of plan B."""
    due_together: list[Words]
    """Steps that come close together, and what the crew is told of them."""
    mistakes: list[MistakeDifference]
    """In the order of plan B; empty where they were not played for both."""
    times: list[Amount]
    """Wet-out, limit, margin and their spread."""
    amounts: list[Amount]
    """Resin and initiator."""
    variations: list[Amount | Words]
    """How often each stays clean in played variations of the day, what was given up for it, and what was varied."""
    rules: list[Words]
    """Rules of the shop that only one plan was made with."""
    conditions: list[Amount | Words]
    """What must be as stated on the morning."""
    lines: list[Amount | Words]
    """Feed lines and vents as they lie."""
    laminates: list[Amount]
    """Area of each laminate."""
    warnings: list[Words]
    """Those that only one plan has, and those that say it with other figures."""
    notes: list[str]
    """What a comparison of plans cannot show."""
