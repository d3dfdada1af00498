"""The plan as it leaves the library: the labelled schedule, what will happen, and how far that is proven.

Written as plan.json, stored by the service, and read again by the run sheet; so units stand in every name.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import ConfigDict, Field

from optimiser.case.advice_document import LayoutAdvice
from optimiser.case.amounts_document import Leak, LinePressure, PlannedMix, ResinQuantities, VentResult
from optimiser.case.conflict_document import ConflictResult
from optimiser.case.document_shape import DocumentShape, came_later
from optimiser.case.gel_clock_document import GelClock
from optimiser.case.map_document import MapData
from optimiser.case.mistakes_document import Mistakes
from optimiser.case.proof_document import CandidateResult, Proof
from optimiser.case.remedies_document import Remedies
from optimiser.case.robustness_document import RobustnessResult
from optimiser.case.sequence_document import LONGEST_CLOCK_S
from optimiser.case.thickness_document import AreaThickness
from optimiser.case.tool_side_document import ToolSide


class Verdict(StrEnum):
    """Whether a sequence was found, or given, that meets every requirement."""

    VERIFIED = "verified"
    NOT_ADMISSIBLE = "not_admissible"


class TriggerText(DocumentShape):
    """When a step is due."""

    kind: Literal["start", "reached", "wet_up_to", "clock"]
    """What the crew waits for: the start, resin seen at a place, a stretch wet, or the clock."""
    place: str | None = None
    """Label of the line or vent to watch."""
    share: float | None = Field(default=None, ge=0, le=1)
    """Share of its length that resin must have reached, as a pure number from 0 to 1: 0.75 is 75 percent of it."""
    at_s: float | None = Field(default=None, ge=0, le=LONGEST_CLOCK_S)
    """For the clock: seconds from the start of the shot."""
    delay_s: float = Field(default=0.0, ge=0, le=LONGEST_CLOCK_S)
    """Seconds to wait after that."""
    says: str
    """One sentence that the crew reads."""
    backup: str | None = None
    """What to go by if the place cannot be seen."""


class PlannedStep(DocumentShape):
    """One thing that the crew does."""

    order: int = Field(ge=1)
    """Place among the steps, from 1."""
    label: str
    """Label on the tap."""
    line: str
    """Name of the line (all its sections share it) or of the vent."""
    kind: Literal["line", "vent"]
    """A feed line or a vent."""
    action: Literal["open", "close", "clamp"]
    """What to do with the tap; a vent is clamped for good."""
    trigger: TriggerText
    """When to do it."""
    expected_at_s: float | None
    """When the tap has been turned, from the start of the shot; None: never came to it."""
    earliest_s: float | None
    """Earliest in the runs with the stated spread of permeability."""
    latest_s: float | None
    """Latest in those runs."""
    flow_kg_per_min: float | None
    """Total through the manifold right after the action."""
    drawn_kg: float | None
    """Resin gone through the manifold up to the action."""
    bled_before_litres: float | None = came_later()
    """Let out of hose and manifold into the flush pot first; not in `drawn_kg`."""
    turned_at: str | None = came_later()
    """Name of the manifold at which this tap or clamp is turned, where the case names manifolds."""
    person: int | None = came_later()
    """Who goes there, from 1; left out where nobody walks, or before the shot."""


class LockedRegion(DocumentShape):
    """A place that the front closed in before it was wet."""

    at_s: float
    """When it closed, from the start of the shot."""
    near: str
    """Where, in words: zone and place."""
    x_mm: float
    """Its middle, along the sheet."""
    y_mm: float
    """Its middle, across the sheet."""
    area_cm2: float
    """How large it is on the sheet."""
    pore_litres: float
    """Unfilled pore volume at the moment it closed."""
    left_after_compression_litres: float
    """What the trapped gas still takes at full resin pressure (ideal gas)."""
    closed_by: list[str]
    """Labels of the lines whose resin closed round it."""
    fails: bool
    """False: below the smallest area that the case says matters."""
    surroundings_mbar_abs: float | None = None
    """What the resin round it presses at the end of the run."""
    left_at_end_litres: float | None = None
    """What the trapped gas takes at that pressure (ideal gas, let in at the vacuum under the bag); at most the pore
    volume. It never goes: the sequence fails by it whatever is left."""


class ZoneResult(DocumentShape):
    """A zone of the part, and what came of it."""

    name: str
    """Name of the zone, as on the map."""
    laminate: str
    """Name of its laminate."""
    area_m2: float
    """Area of the sheet that it covers."""
    arrival_s: float | None
    """First resin in the zone."""
    wet_s: float | None
    """All of the zone wet, to the tool side."""
    fed_by: str | None
    """Line whose resin wets it first."""
    vent: str | None
    """Vent it drains to."""
    path: list[str]
    """Zones from here to that vent, each wet later than the one before."""
    tool_side_trails_s: float | None = came_later()
    """Under flow mesh on solid laminate: longest that a place there is wet to the tool side after its mesh is full."""
    thickness_mm: float | None = came_later()
    """Of the whole stack at the end of filling, where the bag gives there."""
    fibre_volume_percent: float | None = came_later()
    """Of its plies then."""


class LineResult(DocumentShape):
    """A section of a feed line, and what came of it."""

    label: str
    """Label on the tap."""
    line: str
    """Name of the line that the section belongs to."""
    length_mm: float
    """Length of the section in the bag."""
    bore_mm: float
    """Inner diameter of the line."""
    hose_mm: float
    """Length of the hose from the manifold."""
    use: Literal["candidate", "required", "forbidden"]
    """Whether the case lets the line be left shut, wants it open, or forbids it."""
    opened_at_s: float | None
    """When its tap was first turned, from the start; null: never."""
    reached_at_s: float | None
    """Resin stands along its whole length."""
    drawn_kg: float
    """Resin gone through its tap."""
    far_end_share: float | None = None
    """Pressure at the far end over that at the inlet while the line was full and drew, heads taken out; null: never."""
    pressure: LinePressure | None = None
    """Over time; null: its tap was not turned."""


class Consumption(DocumentShape):
    """Equal-length columns over the shot."""

    time_s: list[float]
    """From the start of the shot."""
    drawn_kg: list[float]
    """Resin gone through the manifold up to then."""
    flow_kg_per_min: list[float]
    """Flow through the manifold then."""
    manifold_mbar_abs: list[float]
    """Absolute pressure in the manifold."""
    wet_share: list[float]
    """Share of the pore volume that is filled, 0 to 1."""


class Reason(DocumentShape):
    """One requirement that is not met."""

    requirement: str
    """What is asked for."""
    where: str
    """Where it is not met."""
    by_how_much: str
    """How far off it is, with unit."""
    remedy: str
    """What to try."""


class Assumption(DocumentShape):
    """A value that the case left out."""

    path: str
    """JSON pointer of the field that was left out."""
    value: str
    """The value used, with unit."""
    why: str
    """Where the value comes from."""


class Conditions(DocumentShape):
    """What the plan holds for; the crew compares it with the morning's readings."""

    resin: str
    """Name of the resin."""
    batch: str
    """Its batch; empty where the case names none."""
    resin_taken_from: list[str] = Field(default_factory=list, exclude_if=lambda sentences: not sentences)
    """Whose measurements its gel times and viscosities are, in sentences; left out where the case does not say."""
    resin_density_kg_per_m3: float
    """Density of the liquid resin."""
    viscosity_mpa_s: float
    """Viscosity of the mixed resin, fresh, at the colder of resin and mould."""
    mould_temperature_c: float
    """Temperature of the mould."""
    resin_temperature_c: float
    """Temperature of the resin in its container."""
    initiator_percent: float
    """Initiator on 100 parts of resin by weight."""
    initiator_range_percent: tuple[float, float]
    """Least and most that the data sheet allows."""
    gel_time_s: float
    """Gel time at the warmer of resin and mould, at this level of initiator."""
    gel_fraction: float
    """Share of the gel time within which the part must be wet, as a pure number from 0 to 1: 0.7 is 70 percent."""
    ambient_mbar_abs: float
    """Air pressure, absolute."""
    vacuum_mbar_abs: float
    """Pressure in the bag, absolute."""
    humidity_percent: float
    """Relative humidity of the room."""
    dew_point_c: float
    """Dew point of the air in the room."""
    supply: str
    """In words: open container, metering machine with its caps, or mixes."""
    flow_cap_kg_per_min: float | None
    """Most that the supply delivers; null: no cap."""
    pressure_cap_mbar_abs: float
    """Highest absolute pressure at the outlet of the supply, before the supply hose where one is stated."""
    mix_kg: float | None = None
    """Resin of one mix, as bought and without initiator, where the supply is mixed in batches."""
    hands: int
    """Number of people who turn taps."""
    seconds_per_action: float
    """Time for one tap, seconds."""
    drop_test_most_mbar: float | None = None
    """Most rise of pressure that the shop accepts in the drop test."""
    drop_test_min: float | None = None
    """The shop's own acceptance limit, where the case states one."""
    standing_at: list[str] = Field(default_factory=list, exclude_if=lambda places: not places)
    """Manifold at which each person stands when the first tap opens, person 1 first; left out where none are named."""


class Effort(DocumentShape):
    """What the answer took. Times of this machine are not part of the plan, so that equal inputs give equal plans."""

    cells: int
    """Cells of the fine network."""
    network_nodes: int
    """Nodes of the fine network."""
    network_links: int
    """Links of the fine network."""
    network_runs: int
    """Network runs played."""
    front_steps: int
    """Steps of the front in all runs."""
    linear_solves: int
    """Pressure systems solved."""


class PlanDocument(DocumentShape):
    """plan.json."""

    model_config = ConfigDict(json_schema_serialization_defaults_required=True)

    schema_version: Literal[1] = 1
    """Of this form of document."""
    tapcall_version: str
    """Version of the program that made it."""
    solver_version: str
    """Version of the solver of the zone graph."""
    case_name: str
    """Name of the case."""
    case_digest: str
    """SHA-256 of the case in canonical form."""
    seed: int
    """Seed of the search."""
    verdict: Verdict
    """Whether a sequence meets every requirement."""
    reasons: list[Reason]
    """Empty when verified."""
    wet_out_s: float | None
    """When the last place is wet, to the tool side, from the start; null: never."""
    gel_time_s: float
    """Gel time at the warmer of resin and mould, at the stated level of initiator."""
    gel_limit_s: float
    """Gel time times the stated share."""
    gel_margin_s: float | None
    """Limit minus wet-out; negative: too late."""
    permeability_spread_percent: float
    """How far all permeabilities together may be off."""
    permeability_patchy_percent: float
    """Coefficient of variation from place to place."""
    spread_wet_out_s: tuple[float | None, float | None]
    """Wet-out with all permeabilities times 1 + the spread, and divided by it."""
    steps: list[PlannedStep]
    """What the crew does, in order."""
    locked: list[LockedRegion]
    """Places that the front closed in before they were wet."""
    lines: list[LineResult]
    """Every section of a feed line."""
    zones: list[ZoneResult]
    """Every zone of the part."""
    tool_side: list[ToolSide] = Field(default_factory=list)
    """Every area with flow mesh on solid laminate."""
    resin: ResinQuantities
    """How much resin goes where."""
    consumption: Consumption
    """Resin over time, to go by at the scales."""
    proof: Proof
    """How far the sequence is proven."""
    candidates: list[CandidateResult]
    """The sequences that were compared."""
    conditions: Conditions
    """What must be as stated for the plan to hold."""
    rules: list[str] | None = came_later()
    """Rules of the shop that its case states, in words; left out: none, or it was made before plans named them."""
    assumptions: list[Assumption]
    """What the case left out and the physics needs."""
    cut_short: str | None = came_later()
    """Why planning was ended early, so that asked again it may come out otherwise; left out: it was not."""
    warnings: list[str]
    """What is odd, in a sentence each."""
    map: MapData
    """What the wet-out map is drawn from."""
    effort: Effort
    """What the answer took."""
    vents: list[VentResult] = Field(default_factory=list)
    """Every vent."""
    mixes: list[PlannedMix] = Field(default_factory=list)
    """Every mix, where the supply is mixed in batches."""
    thickness: list[AreaThickness] = Field(default_factory=list, exclude_if=lambda areas: not areas)
    """Every area whose plies give under the bag."""
    leak: Leak | None = None
    """What the drop test's limit lets in; null: the case states no limit or no volume of the bag."""
    gel_clock: GelClock | None = came_later()
    """The age of the resin; left out: not followed, and minutes before the first tap come off the limit."""
    robustness: RobustnessResult | None = came_later()
    """What played variations of the day say; left out: none were asked for."""
    mistakes: Mistakes | None = came_later()
    """What single mistakes of the crew would do; left out: not played."""
    advice: list[LayoutAdvice] = Field(default_factory=list, exclude_if=lambda advice: not advice)
    """What the layout could do better; left out: nothing was found."""
    conflict: ConflictResult | None = came_later()
    """What the case asks for and cannot have together; left out: no such conflict is known."""
    remedies: Remedies | None = came_later()
    """Changes of the case that were tried because no sequence is admissible; left out: none were tried."""
