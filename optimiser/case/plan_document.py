"""The plan as it leaves the library: the labelled schedule, what will happen, and how far that is proven.

Written as plan.json, stored by the service, and read again by the run sheet; so units stand in every name.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

PLAN_SCHEMA_VERSION = 1


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, use_attribute_docstrings=True)


class Verdict(StrEnum):
    VERIFIED = "verified"
    NOT_ADMISSIBLE = "not_admissible"


class ProofStatus(StrEnum):
    OPTIMAL_ON_ZONE_GRAPH = "optimal_on_zone_graph"
    """The solver proved the order best on the zone graph and the network run confirms it."""
    BEST_FOUND = "best_found"
    """The best verified sequence seen; the zone graph's optimum is another or is not proven."""
    CHECKED_ONLY = "checked_only"
    """A sequence that somebody else wrote; nothing was optimised."""


class TriggerText(_Strict):
    kind: Literal["start", "reached", "wet_up_to", "clock"]
    place: str | None = None
    """Label of the line or vent to watch."""
    share: float | None = Field(default=None, ge=0, le=1)
    """Share of its length that resin must have reached."""
    at_s: float | None = None
    delay_s: float = 0.0
    says: str
    """One sentence that the crew reads."""
    backup: str | None = None
    """What to go by if the place cannot be seen."""


class PlannedStep(_Strict):
    order: int = Field(ge=1)
    label: str
    line: str
    """Name of the line (all its sections share it) or of the vent."""
    kind: Literal["line", "vent"]
    action: Literal["open", "close", "clamp"]
    trigger: TriggerText
    expected_at_s: float | None
    """When the tap has been turned, from the start of the shot; None: never came to it."""
    earliest_s: float | None
    latest_s: float | None
    """Range from the runs with the stated spread of permeability."""
    flow_kg_per_min: float | None
    """Total through the manifold right after the action."""
    drawn_kg: float | None
    """Resin gone through the manifold up to the action."""


class LockedRegion(_Strict):
    at_s: float
    near: str
    """Where, in words: zone and place."""
    x_mm: float
    y_mm: float
    area_cm2: float
    pore_litres: float
    """Unfilled pore volume at the moment it closed."""
    left_after_compression_litres: float
    """What the trapped gas still takes at full resin pressure (ideal gas)."""
    closed_by: list[str]
    """Labels of the lines whose resin closed round it."""
    fails: bool
    """False: below the smallest area that the case says matters."""


class ZoneResult(_Strict):
    name: str
    laminate: str
    area_m2: float
    arrival_s: float | None
    """First resin in the zone."""
    wet_s: float | None
    """All of the zone wet."""
    fed_by: str | None
    """Line whose resin wets it first."""
    vent: str | None
    """Vent it drains to."""
    path: list[str]
    """Zones from here to that vent, each wet later than the one before."""


class LineResult(_Strict):
    label: str
    line: str
    length_mm: float
    bore_mm: float
    hose_mm: float
    use: Literal["candidate", "required", "forbidden"]
    opened_at_s: float | None
    reached_at_s: float | None
    """Resin stands along its whole length."""
    drawn_kg: float


class Consumption(_Strict):
    """Equal-length columns over the shot."""

    time_s: list[float]
    drawn_kg: list[float]
    flow_kg_per_min: list[float]
    manifold_mbar_abs: list[float]
    wet_share: list[float]


class ResinQuantities(_Strict):
    """Kilograms of resin by use, as bought: the initiator comes on top."""

    laminate_kg: float
    core_kg: float
    flow_mesh_kg: float
    feed_lines_kg: float
    hoses_and_manifold_kg: float
    drawn_into_vents_kg: float
    reserve_kg: float
    total_kg: float
    initiator_kg: float
    initiator_percent: float
    mixes: int | None = None
    """Number of mixes, where the supply is mixed in batches."""


class CandidateResult(_Strict):
    """A sequence that was played on the network on the way."""

    name: str
    """For example 'all taps at once', 'outward on reach', 'solver round 2'."""
    admissible: bool
    wet_out_s: float | None
    locked_litres: float
    locked_regions: int
    tap_actions: int
    remark: str


class Round(_Strict):
    """One turn of choose, verify, correct."""

    number: int
    graph_wet_out_s: float | None
    solver_status: str
    network_wet_out_s: float | None
    locked_litres: float
    correction: str
    """What was changed before the next turn, or why the turns ended."""


class Proof(_Strict):
    status: ProofStatus
    statement: str
    """One sentence: what is proven on what, and what the network says."""
    zone_count: int
    graph_optimum_s: float | None
    bound_s: float | None
    """No sequence can be faster: all lines open at once without a flow cap."""
    rounds: list[Round]
    ended_because: str
    usual_rules: list[str] = []
    """What the usual rules of a crew would have done instead, a sentence each: why the plan differs from them."""


class Reason(_Strict):
    """One requirement that is not met."""

    requirement: str
    where: str
    by_how_much: str
    remedy: str


class Assumption(_Strict):
    path: str
    """JSON pointer of the field that was left out."""
    value: str
    """The value used, with unit."""
    why: str


class Conditions(_Strict):
    """What the plan holds for; the crew compares it with the morning's readings."""

    resin: str
    batch: str
    resin_density_kg_per_m3: float
    viscosity_mpa_s: float
    mould_temperature_c: float
    resin_temperature_c: float
    initiator_percent: float
    initiator_range_percent: tuple[float, float]
    gel_time_s: float
    gel_fraction: float
    ambient_mbar_abs: float
    vacuum_mbar_abs: float
    humidity_percent: float
    dew_point_c: float
    supply: str
    """In words: open container, metering machine with its caps, or mixes."""
    flow_cap_kg_per_min: float | None
    pressure_cap_mbar_abs: float
    mix_kg: float | None = None
    """Resin of one mix, as bought and without initiator, where the supply is mixed in batches."""
    hands: int
    seconds_per_action: float
    drop_test_most_mbar: float | None = None
    drop_test_min: float | None = None
    """The shop's own acceptance limit, where the case states one."""


class MapOutline(_Strict):
    border_mm: list[tuple[float, float]]
    holes_mm: list[list[tuple[float, float]]] = []


class MapRun(_Strict):
    label: str
    kind: Literal["line", "vent"]
    run_mm: list[tuple[float, float]]
    order: int | None
    """Order of its first step; None: not used."""
    inlet_mm: tuple[float, float] | None = None
    """Where the tap's hose joins; None for vents, and in plans written before this was kept."""


class MapArea(_Strict):
    """A laminate patch over the base laminate."""

    name: str
    laminate: str
    border_mm: list[tuple[float, float]]


class MapData(_Strict):
    """What the wet-out map is drawn from. One entry per cell in the columns."""

    outlines: list[MapOutline]
    areas: list[MapArea] = []
    runs: list[MapRun]
    cell_mm: float
    x_mm: list[float]
    y_mm: list[float]
    wet_s: list[float | None]
    triangles: list[tuple[int, int, int]] | None = None
    """For a surface: corners as indices into the columns."""


class Effort(_Strict):
    """What the answer took. Times of this machine are not part of the plan, so that equal inputs give equal plans."""

    cells: int
    network_nodes: int
    network_links: int
    network_runs: int
    front_steps: int
    linear_solves: int


class PlanDocument(_Strict):
    schema_version: Literal[1] = 1
    tapcall_version: str
    solver_version: str
    case_name: str
    case_digest: str
    """SHA-256 of the case in canonical form."""
    seed: int
    verdict: Verdict
    reasons: list[Reason]
    """Empty when verified."""
    wet_out_s: float | None
    gel_time_s: float
    gel_limit_s: float
    """Gel time times the stated share."""
    gel_margin_s: float | None
    """Limit minus wet-out; negative: too late."""
    permeability_spread_percent: float
    """How far all permeabilities together may be off."""
    permeability_patchy_percent: float
    """Coefficient of variation from place to place."""
    spread_wet_out_s: tuple[float | None, float | None]
    """Wet-out with all permeabilities higher and lower by the spread."""
    steps: list[PlannedStep]
    locked: list[LockedRegion]
    lines: list[LineResult]
    zones: list[ZoneResult]
    resin: ResinQuantities
    consumption: Consumption
    proof: Proof
    candidates: list[CandidateResult]
    conditions: Conditions
    assumptions: list[Assumption]
    warnings: list[str]
    map: MapData
    effort: Effort
