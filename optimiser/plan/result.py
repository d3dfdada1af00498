"""What planning found, before it is written as a document."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx

from optimiser.filling.fill_run import FillRun
from optimiser.network.zones import Zones
from optimiser.part.sequence import Sequence
from optimiser.plan.play_mistakes import PlayedMistakes
from optimiser.plan.play_scatter import Played, ShotOutcome, Variations
from optimiser.plan.scenes import Scenes
from optimiser.sequencing.conflict_found import Conflict
from optimiser.sequencing.zone_problem import LevelName, Outcome


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far planning is; fraction from 0 to 1 over the whole job."""

    phase: str
    fraction: float
    best_wet_out_s: float | None = None


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A sequence and what became of it on the coarse network."""

    name: str
    sequence: Sequence
    run: FillRun
    patchy_runs: tuple[FillRun, ...]
    """The same with patchy permeability, and what goes by time with all of it quicker and slower; empty where the even
    run already locks a region."""
    broken: str
    """The rule of its taps that it breaks, in words; empty: none."""
    margin_s: float = 0.0
    """At the closest near-lock of the run."""

    @property
    def clean(self) -> bool:
        return not self.broken and self.run.clean and all(run.clean for run in self.patchy_runs)

    @property
    def locked_m3(self) -> float:
        return self.run.locked_pore_m3 + sum(run.locked_pore_m3 for run in self.patchy_runs)


@dataclass(frozen=True, kw_only=True)
class Verified:
    """A sequence played on the full network, and with the stated spread."""

    name: str
    sequence: Sequence
    run: FillRun
    spread_runs: tuple[FillRun, ...]
    broken: str
    """The rule of its taps that it breaks as planned, in words; empty: none."""
    broken_in_spread: str = ""
    """Pairs, groups and latest times are kept there too; the order by what calls for the taps."""
    finer_run: FillRun | None = None
    """As planned, on cells of half the size; None: not played there."""
    broken_on_finer: str = ""
    margin_s: float = 0.0
    """At the closest near-lock of the run."""

    @property
    def clean(self) -> bool:
        return not self.broken and self.run.clean

    @property
    def clean_in_spread(self) -> bool:
        return not self.broken_in_spread and all(run.clean for run in self.spread_runs)

    @property
    def clean_on_finer(self) -> bool:
        """Where it was played there."""
        return not self.broken_on_finer and (self.finer_run is None or self.finer_run.clean)

    @property
    def holds(self) -> bool:
        """Played with the spread, and clean in all of it and on finer cells."""
        return self.clean and bool(self.spread_runs) and self.clean_in_spread and self.clean_on_finer

    @property
    def runs(self) -> tuple[FillRun, ...]:
        """All that it was verified by: as planned, in the spread, on finer cells."""
        return (self.run, *self.spread_runs, *(() if self.finer_run is None else (self.finer_run,)))


@dataclass(frozen=True, kw_only=True)
class RoundRecord:
    """One turn of choose, verify, correct."""

    number: int
    graph_wet_out_s: float | None
    outcome: Outcome
    network_wet_out_s: float | None
    locked_m3: float
    correction: str


@dataclass(frozen=True, kw_only=True)
class Tried:
    """One line of the list of sequences that were played."""

    name: str
    network: str
    """'full' or 'coarse'."""
    clean: bool
    wet_out_s: float
    locked_m3: float
    locks: int
    tap_actions: int
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class GraphLevel:
    """One level of the objective on the zone graph, those before it as they are."""

    name: LevelName
    value: float
    bound: float | None
    """Nothing on the graph is better; None: there was no time to look for it."""
    in_seconds: bool
    """Of resin as fresh as at the first tap; False: a number of taps or vents."""


@dataclass(frozen=True, kw_only=True)
class GraphProof:
    zone_count: int
    outcome: Outcome | None
    """Of the last turn; None: the zone graph was not asked."""
    optimum_s: float | None
    """Of the last turn."""
    agreed: bool
    """The zone graph proved its optimum, and the chosen sequence is the best that was played and takes as long."""
    rounds: tuple[RoundRecord, ...]
    ended_because: str
    bound_s: float | None = None
    """No sequence on the graph of the last turn is faster; equal to the optimum where that is proven."""
    levels: tuple[GraphLevel, ...] = ()
    """Of the last turn, in their order."""
    played_s: float | None = None
    """Wet-out of the chosen sequence on the coarse network, which is what the graph was made from and learnt from."""


@dataclass(frozen=True, kw_only=True)
class Effort:
    network_runs: int
    front_steps: int
    solves: int


@dataclass(frozen=True, kw_only=True)
class Compared:
    """A sequence that holds, and what became of it in each variation."""

    sequence: Verified
    played: tuple[Played, ...]
    given_up: bool
    """Not played in all: it could no longer be clean in more of them than another."""

    @property
    def clean(self) -> int:
        return sum(one.outcome is ShotOutcome.CLEAN for one in self.played)


@dataclass(frozen=True, kw_only=True)
class Robustness:
    """What the variations say of the chosen sequence and of those it was held against."""

    variations: Variations
    compared: tuple[Compared, ...]
    """Most clean first, of equals the faster: the first is the chosen one. None was played after one clean in all;
    those given up come last.
    """
    compared_in: int
    """Of the variations, the first so many decided; the chosen one is played in all."""
    fastest_s: float
    """Wet-out on the full network of the fastest that holds."""

    @property
    def chosen(self) -> Compared:
        return self.compared[0]


@dataclass(frozen=True, kw_only=True)
class WideBay:
    """Between two lines, or from a line to the edge, too wide for the gel clock."""

    label: str
    side: int
    """Of that line: 0 left of it as it runs, 1 right."""
    other: str | None
    """None: the edge of the part."""
    together_s: float
    """Its last place wet with all usable taps open at once, unhindered: no order is faster."""
    alone_s: float | None
    """From the better of its two lines alone, on the coarse network; None: not found."""
    limit_s: float


@dataclass(frozen=True, kw_only=True)
class IdlePart:
    """A line or vent that makes no difference to the chosen sequence."""

    label: str
    vent: bool
    opened: bool
    """False: the sequence leaves it shut anyway."""
    later_s: float
    """Wet-out without it against wet-out with it."""
    not_with: tuple[str, ...] = ()
    """Others of which this is said too, where it does not hold without all of them together."""


@dataclass(frozen=True, kw_only=True)
class LayoutFindings:
    wide: tuple[WideBay, ...]
    idle: tuple[IdlePart, ...]
    """Each by itself: without two of them at once nothing was played."""


@dataclass(frozen=True, kw_only=True)
class PlanResult:
    scenes: Scenes
    zones: Zones
    """On the full network."""
    graph: nx.Graph
    """Zone graph on the full network."""
    chosen: Verified
    proof: GraphProof
    tried: tuple[Tried, ...]
    usual_rules: tuple[Verified, ...]
    """What a crew would have done without a plan, on the full network."""
    bound_s: float | None
    """Wet-out with all usable lines open at once, no cap, no hands, or, if that is later, when a cap has given what the
    sheet holds: nothing is faster."""
    effort: Effort
    robustness: Robustness | None = None
    """None: no variations were asked for."""
    conflict: Conflict | None = None
    """Demands that the zone graph cannot keep together; None: the sequence is admissible, or it knows none."""
    layout: LayoutFindings | None = None
    """What the layout could do better; None: a given sequence was checked, or there was no time."""
    by_clock_s: float | None = None
    """Wet-out of a faster sequence that holds, given up as it goes by the clock; None: there was none."""
    cut_short: str | None = None
    """Why planning was ended early; None: it was not."""
    mistakes: PlayedMistakes | None = None
    """Single mistakes with the chosen sequence; None: not played."""
