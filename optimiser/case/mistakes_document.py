"""How the plan says what a single mistake would do, and which steps come close together."""

from __future__ import annotations

from typing import Literal

from optimiser.case.document_shape import DocumentShape, came_later


class MistakeResult(DocumentShape):
    """One mistake with one step; nothing else goes wrong, and nothing is done about it."""

    step: int
    """Place of the step among the steps of the plan."""
    label: str
    """Label on its tap."""
    mistake: Literal["skipped", "swapped_with_next", "late"]
    """Never done; the next step done in its place, and it in the place of that; done late."""
    other_step: int | None
    """The step that it is mixed up with."""
    other_label: str | None
    """Label on the tap of that step."""
    network: Literal["coarse", "full"]
    """Where it was played: a place smaller than a coarse cell may be missed."""
    nothing_flows: bool
    """No tap of the start is open: it is seen at once, and harms nothing."""
    clean: bool
    """All wet, and nothing locked that matters."""
    in_time: bool
    """All wet before the gel limit."""
    wet_out_later_s: float | None
    """Against the same network without the mistake; null: never all wet."""
    gel_margin_s: float | None
    """Margin of the plan less that; null: never all wet."""
    locked_litres: float
    """Pore volume locked, all places together."""
    locked_regions: int
    """Number of places locked."""
    locked_near: str | None
    """The largest of them: zone and place; null: none."""
    closed_by: list[str]
    """Labels of the lines whose resin closes round it."""
    dry_m2: float
    """Area that is not wet at the end of the run."""
    vents_draw_more_litres: float
    """Resin that the vents draw beyond what they draw without the mistake. The run never lacks resin, so it
    may be more than the shot has. A vent whose clamp is late or forgotten draws on after wet-out, at most what is
    bought and until gel."""
    resin_runs_out_s: float | None = came_later()
    """When what is bought is used up because its vent draws on after wet-out; left out: it is not, or not then."""
    may_pass_stop_time: Literal[True] | None = came_later()
    """In time as planned, but not in the slow case, or not where resin is as old at the first tap as it may well be."""
    worst_of_step: bool
    """Whether it is the worst mistake with this step."""
    happens: str
    """The mistake, in words of the crew."""
    does: str
    """What comes of it, in words of the crew."""


class CloseSteps(DocumentShape):
    """Steps that are called for within the time that one pair of hands needs for one of them."""

    steps: list[int]
    """Places among the steps of the plan, in the order in which they are called for."""
    labels: list[str]
    """Labels on their taps."""
    within_s: float
    """From the first call to the last."""
    hands_suffice: bool
    """Whether there is a pair of hands for each."""
    must_not_wait: str | None
    """The label that harms most if it is late; null: as much as the others."""
    most_harmful_first: bool | None = came_later()
    """Whether it is also the first of them to be done; left out: none harms most."""
    says: str
    """In a sentence for the crew."""


class Mistakes(DocumentShape):
    """What single mistakes would do. It permits none of them."""

    late_by_s: float
    """By how much a late step is late."""
    coarse_cell_mm: float
    """Cells of the coarse network."""
    coarse_wet_out_s: float
    """Wet-out there without a mistake."""
    statement: str
    """What was played, and on what."""
    results: list[MistakeResult]
    """In the order of the steps."""
    close: list[CloseSteps]
    """Where steps come close together."""
