"""Everything that fixes one infusion: part, resin, supply, process, crew and the rules of the shop."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from optimiser.part.part import Part
from optimiser.part.resin import Resin
from optimiser.part.scatter import Scatter
from optimiser.part.sequence import Sequence


class SupplyKind(StrEnum):
    OPEN_CONTAINER = "open_container"
    METERING_MACHINE = "metering_machine"
    MIXES = "mixes"
    """An open container kept filled with mixes of a stated size."""


@dataclass(frozen=True, kw_only=True)
class Supply:
    kind: SupplyKind
    most_pressure_pa: float
    """Absolute, at the manifold; never above ambient under a bag."""
    most_flow_m3_s: float | None
    """None: no cap."""
    height_m: float
    """Of the resin surface (open container) or the manifold (machine), above the same datum as the part."""
    manifold_volume_m3: float
    """With the hose that leads to it."""
    mix_kg: float | None = None
    mix_s: float | None = None
    """From initiator in until a mix is ready, one after another; None: not planned."""
    hose_conductance_m3: float | None = None
    """Of the hose from the supply to the manifold; None: nothing is lost there."""
    bled_before_each_tap: bool = False
    """What stands in hose and manifold is let out into a flush pot, under the part's vacuum, before a tap is opened."""


class GelRule(StrEnum):
    """Whose age is held against the gel limit."""

    OLDEST_RESIN = "oldest_resin"
    """Resin everywhere is taken to be as old as the first mix: the safe side."""
    EACH_PLACE = "each_place"
    """At each place the oldest resin that can have wetted it."""


@dataclass(frozen=True, kw_only=True)
class Temperatures:
    """What mould and resin are at a moment of the shot."""

    at_s: float
    """From the first tap."""
    mould_k: float
    resin_k: float


@dataclass(frozen=True, kw_only=True)
class Process:
    ambient_pa: float
    vacuum_pa: float
    """Residual absolute pressure under the bag."""
    mould_temperature_k: float
    resin_temperature_k: float
    room_humidity_fraction: float
    gel_fraction: float
    """Share of the gel time that wet-out may take."""
    smallest_lock_m2: float
    """Locked regions below this area are listed but do not fail a sequence."""
    longest_run_m: float
    """Warn where resin travels further than this from a line."""
    permeability_spread_fraction: float
    """How far all permeabilities together may be off."""
    permeability_patchy_fraction: float
    """Coefficient of variation from place to place within the part."""
    reserve_fraction: float
    """Resin bought beyond what the parts, lines and pots take."""
    least_line_end_fraction: float
    """Warn where the far end of a line gets less than this share of the pressure at its inlet."""
    drum_kg: float | None = None
    """Resin in one drum as it is sold; None: drums are not counted."""
    temperatures: tuple[Temperatures, ...] = ()
    """Straight between them, the first at the first tap; empty: they stay as they are."""
    age_at_first_tap_s: float | None = None
    """Of the first mix; None: not stated, the crew takes it off the limit itself."""
    gel_rule: GelRule = GelRule.OLDEST_RESIN


@dataclass(frozen=True, kw_only=True)
class TapPlace:
    """A manifold as the crew knows it: one place at which some taps and clamps are turned."""

    name: str
    labels: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Crew:
    hands: int
    """People who work taps at the same time."""
    action_s: float
    """Time one person needs for one tap, once there: walking within a place included."""
    places: tuple[TapPlace, ...] = ()
    """Taps of no place are turned wherever somebody stands."""
    walk_s: tuple[tuple[float, ...], ...] = ()
    """(places, places), symmetric, zero on the diagonal."""

    def place_of(self, label: str) -> int | None:
        """Index of the place at which this tap or clamp is turned."""
        return next((k for k, place in enumerate(self.places) if label in place.labels), None)

    def walking_s(self, here: int | None, there: int | None) -> float:
        """From one place to another; nothing to a tap of no place."""
        return 0.0 if here is None or there is None else self.walk_s[here][there]

    def within_s(self, labels: tuple[str, ...]) -> float:
        """Between the first and the last of these taps, where they are called for together and turned in turn."""
        places = {self.place_of(label) for label in labels}
        longest = max((self.walking_s(one, other) for one in places for other in places), default=0.0)
        turns = -(-len(labels) // self.hands) - 1
        return turns * self.action_s + (len(labels) - 1) * longest


@dataclass(frozen=True, kw_only=True)
class ShopRules:
    """What the user wants beyond physics."""

    start_labels: tuple[str, ...] = ()
    """Lines that must be the first to open; empty: the optimiser chooses."""
    order: tuple[str, ...] = ()
    """Labels that must open in this order."""
    never_at_once: tuple[tuple[str, str], ...] = ()
    """Pairs of lines that are never open at the same time: the one is closed before the other opens, or stays shut."""
    together: tuple[tuple[str, ...], ...] = ()
    """Groups of lines that open together or not at all: called for at one moment and turned one after the other."""
    latest_s: tuple[tuple[str, float], ...] = ()
    """(label, from the first tap): a line that opens has been opened by then."""
    own_sequence: Sequence | None = None
    """A sequence the user has; never answer with a worse one."""


@dataclass(frozen=True, kw_only=True)
class Search:
    """How hard to look; none of it changes the physics."""

    cell_m: float
    coarse_cell_m: float
    most_zones: int
    tick_s: float
    rounds: int
    seed: int
    solver_effort: float
    """Deterministic time of one constraint-solver call, in the solver's own units."""
    mistakes: bool | None = None
    """Whether single mistakes of the crew are played; None: where a sequence is chosen, not where one is checked."""


@dataclass(frozen=True, kw_only=True)
class Shot:
    name: str
    part: Part
    resin: Resin
    supply: Supply
    process: Process
    crew: Crew
    rules: ShopRules
    search: Search
    scatter: Scatter | None = None
    """None: no variations are played."""
