"""What a plan says of its proof: how far it reaches, what was tried, turn by turn."""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from optimiser.case.document_shape import DocumentShape, came_later


class ProofStatus(StrEnum):
    OPTIMAL_ON_ZONE_GRAPH = "optimal_on_zone_graph"
    """The solver proved the order best on the zone graph and the network run confirms it."""
    BEST_FOUND = "best_found"
    """The best verified sequence seen; the zone graph's optimum is another or is not proven."""
    CHECKED_ONLY = "checked_only"
    """A sequence that somebody else wrote; nothing was optimised."""


class CandidateResult(DocumentShape):
    """A sequence that was played on the network on the way."""

    name: str
    """For example 'all taps at once', 'outward on reach', 'solver round 2'."""
    admissible: bool
    """Whether it met every requirement on the full network."""
    wet_out_s: float | None
    """When the last place was wet; null: never."""
    locked_litres: float
    """Pore volume left unfilled."""
    locked_regions: int
    """Number of places left unfilled."""
    tap_actions: int
    """Number of times that a tap is turned."""
    remark: str
    """What spoke against it; empty: nothing."""


class Round(DocumentShape):
    """One turn of choose, verify, correct."""

    number: int
    """Which turn, from 1."""
    graph_wet_out_s: float | None
    """Wet-out that the zone graph believed in."""
    solver_status: str
    """How the search on the zone graph ended."""
    network_wet_out_s: float | None
    """Wet-out that the network run found; null: never wet."""
    locked_litres: float
    """Pore volume left unfilled in that run."""
    correction: str
    """What was changed before the next turn, or why the turns ended."""


class LevelUnit(StrEnum):
    """What a level of the objective is counted in."""

    SECONDS = "s"
    """On the clock of resin as fresh as at the first tap."""
    TAPS = "taps turned"
    VENTS = "vents"


class ObjectiveLevel(DocumentShape):
    """One level of what is better on the zone graph; each is settled before the next, nothing is weighed."""

    name: str
    """What is made small, or large: for example 'wet-out', 'margin at the closest near-lock'."""
    unit: LevelUnit
    """What value and bound are counted in."""
    value: int
    """Of the last sequence that the zone graph proposed, in whole units."""
    bound: int | None
    """Nothing on the graph is better, the levels before it as they are; null: there was no time to look."""
    proven: bool
    """Whether the value is as good as the bound."""


class FinerCellsRun(DocumentShape):
    """The sequence as planned on cells of half the size: whether what was found hangs on where cell borders lie."""

    cell_mm: float
    """Half of what the case asks for."""
    cells: int
    """Of them; about, where it was not played."""
    played: bool
    """Whether it was; it is not where that many cells are too many, and the plan warns of that."""
    holds: bool | None
    """Whether nothing is locked there and every place is wet in time; null: not played."""
    wet_out_s: float | None
    """When the last place is wet there; null: never, or not played."""
    says: str
    """The same in a sentence."""


class Proof(DocumentShape):
    """What is proven, on what, and by how much search."""

    status: ProofStatus
    """How far the sequence is proven."""
    statement: str
    """One sentence: what is proven on what, and what the network says."""
    zone_count: int
    """Number of zones in the zone graph."""
    graph_optimum_s: float | None
    """Wet-out of the best sequence on the zone graph, where that is known."""
    bound_s: float | None
    """No sequence can be faster: all lines open at once without a flow cap, or what the cap takes to fill the part."""
    rounds: list[Round]
    """The turns of choose, verify and correct."""
    ended_because: str
    """Why the search ended, in a sentence."""
    usual_rules: list[str] = Field(default_factory=list)
    """What the usual rules of a crew would have done instead, a sentence each: why the plan differs from them."""
    levels: list[ObjectiveLevel] | None = came_later()
    """The objective on the zone graph, level by level, in its order."""
    graph_gap_s: float | None = came_later()
    """By how much the plan is later than the zone graph has proven possible on itself; 0: it is the best there."""
    network_gap_s: float | None = came_later()
    """By how much the plan is later than what no sequence can be faster than on the network (`bound_s`)."""
    finer_cells: FinerCellsRun | None = came_later()
    """The last run of a verification; null: the sequence fails before it, or the plan is from before there was one."""
