"""How the shot is run: supply, pressures, temperatures, crew, rules of the shop, and how hard to look."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, Strict

from optimiser.case.document_shape import (
    LIKE_2_0,
    Bore,
    DocumentShape,
    Height,
    HoseLength,
    Label,
    Name,
    Number,
    PatchyPercent,
    SpreadPercent,
    Whole,
    WholePercent,
    came_later,
)
from optimiser.case.scatter_document import MOST_SCENARIOS, ScatterDocument
from optimiser.case.sequence_document import SequenceDocument

MOST_PUMP_M3_PER_H = 5000.0
MOST_CELL_MM = 500.0
ManifoldVolume = Annotated[Number, Field(ge=0, le=200)]
ShopTemperature = Annotated[Number, Field(ge=0, le=80)]
AmbientPressure = Annotated[Number, Field(ge=700, le=1100)]
VacuumPressure = Annotated[Number, Field(ge=0.5, le=500)]
GelFractionPercent = Annotated[Number, Field(ge=10, le=100)]
Labels = Annotated[tuple[Label, ...], Field(max_length=1000)]


class SupplyHose(DocumentShape):
    """The hose from the container or machine to the manifold, which all taps share."""

    bore_mm: Bore
    """Inner diameter."""
    length_mm: HoseLength


class OpenContainer(DocumentShape):
    """The air presses the resin in from an open container."""

    kind: Literal["open_container"]
    surface_height_mm: Height
    """Of the resin in the container, lowest during the shot."""
    manifold_volume_litres: ManifoldVolume
    supply_hose: SupplyHose | None = came_later()
    """Left out: the manifold stands in the resin or at the machine, and nothing is lost on the way to it."""


class MeteringMachine(DocumentShape):
    kind: Literal["metering_machine"]
    flow_cap_kg_per_min: Annotated[Number, Field(ge=0.05, le=200)]
    pressure_cap_mbar_abs: Annotated[Number, Field(ge=100, le=1100)]
    """At its outlet, before the supply hose where one is stated; absolute. Never above ambient: resin pressing harder
    than the air lifts the bag."""
    manifold_height_mm: Height
    manifold_volume_litres: ManifoldVolume
    supply_hose: SupplyHose | None = came_later()
    """Left out: the manifold stands in the resin or at the machine, and nothing is lost on the way to it."""
    bled_before_each_tap: Annotated[bool, Strict()] | None = came_later()
    """What stands in hose and manifold goes into a flush pot, under the vacuum of the part, before a later tap is
    opened, so that its line begins with fresh resin. Left out: it begins with what has stood there since the start."""


class Mixes(DocumentShape):
    """An open container that is kept filled, mix by mix."""

    kind: Literal["mixes"]
    mix_kg: Annotated[Number, Field(ge=0.5, le=1000)]
    surface_height_mm: Height
    manifold_volume_litres: ManifoldVolume
    supply_hose: SupplyHose | None = came_later()
    """Left out: the manifold stands in the resin or at the machine, and nothing is lost on the way to it."""
    minutes_per_mix: Annotated[Number, Field(ge=0.5, le=240)] | None = came_later()
    """From initiator in until the mix is ready to draw from, one mix after another. Left out: not planned."""
    bled_before_each_tap: Annotated[bool, Strict()] | None = came_later()
    """What stands in hose and manifold goes into a flush pot, under the vacuum of the part, before a later tap is
    opened, so that its line begins with fresh resin. Left out: it begins with what has stood there since the start."""


SupplyDocument = Annotated[OpenContainer | MeteringMachine | Mixes, Field(discriminator="kind")]


class DropTestDocument(DocumentShape):
    """The shop's own limit for the drop test."""

    most_rise_mbar: Annotated[Number, Field(ge=0.1, le=200)]
    minutes: Annotated[Number, Field(ge=1, le=240)]
    """How long the closed bag is watched, in minutes."""
    bag_litres: Annotated[Number, Field(ge=0.5, le=50_000)] | None = came_later()
    """Air under the bag, in hoses and in pots, when it is tested; with it a rise tells how much leaks in."""
    pump_m3_per_h: Annotated[Number, Field(ge=0.1, le=MOST_PUMP_M3_PER_H)] | None = came_later()
    """What the pump draws at the pressure under the bag, by its own sheet."""


class TemperaturesDocument(DocumentShape):
    """What mould and resin are at a moment of the shot."""

    at_min: Annotated[Number, Field(ge=0, le=5760)]
    """From the first tap. Two rows of one minute are a jump."""
    mould_temperature_c: ShopTemperature
    resin_temperature_c: ShopTemperature
    """Of the resin in its container."""


class ProcessDocument(DocumentShape):
    ambient_mbar_abs: AmbientPressure
    """Air pressure in the shop, absolute, not reduced to sea level."""
    vacuum_mbar_abs: VacuumPressure
    """What is left under the bag, absolute."""
    mould_temperature_c: ShopTemperature
    resin_temperature_c: ShopTemperature
    humidity_percent: Annotated[Number, Field(ge=2, le=100)]
    """Relative humidity of the shop."""
    gel_fraction_percent: GelFractionPercent
    """Share of the gel time that wet-out may take."""
    smallest_lock_cm2: Annotated[Number, Field(ge=0, le=10_000)]
    """Locked regions smaller than this are listed but do not fail a sequence."""
    longest_run_mm: Annotated[Number, Field(ge=50, le=20_000)]
    """Warn where resin travels further than this from a line."""
    reserve_percent: WholePercent
    """Resin bought beyond what part, lines and pots take."""
    permeability_spread_percent: SpreadPercent
    """The plan is also judged with all permeabilities times 1 + this share, and divided by it."""
    permeability_patchy_percent: PatchyPercent
    """Coefficient of variation of permeability from place to place within the part."""
    drop_test: DropTestDocument | None = None
    drum_kg: Annotated[Number, Field(ge=1, le=2000)] | None = came_later()
    """Resin in one drum as it is sold; with it drums are counted."""
    least_line_end_percent: WholePercent | None = came_later()
    """Warn where the far end of a line gets less than this share of the pressure at its inlet."""
    temperatures: Annotated[
        tuple[TemperaturesDocument, ...], Field(max_length=200, exclude_if=lambda rows: not rows)
    ] = ()
    """How mould and resin warm or cool over the shot, from minute 0 until past the gel limit, straight between rows.
    Left out: both stay as they are."""
    age_at_first_tap_min: Annotated[Number, Field(ge=0, le=1440)] | None = came_later()
    """From initiator into the first mix until the first tap; comes off the gel limit. Left out: the crew takes it off,
    or, where age or temperature is followed, ten minutes are taken."""
    gel_judged_by: Literal["oldest_resin", "each_place"] | None = came_later()
    """Whose age is held against the gel limit: as old as the first mix everywhere, the safe side and what is taken
    if left out; or at each place the oldest resin that can have wetted it."""

    scatter: ScatterDocument | None = came_later()
    """How far the day may be off what is stated here, for the variations that `search.scenarios` asks for."""


class TapPlaceDocument(DocumentShape):
    """A manifold, or another place, at which a person turns the taps and clamps named."""

    name: Name
    labels: Annotated[tuple[Label, ...], Field(min_length=1, max_length=1000)]
    """Of taps and vents, each at one place only. A tap of no place costs no walk."""


class WalkDocument(DocumentShape):
    """The way between two manifolds."""

    between: tuple[Name, Name]
    walk_s: Annotated[Number, Field(ge=0, le=1800)]
    """For one person, either way. It comes on top of `seconds_per_action`."""


class CrewDocument(DocumentShape):
    hands: Annotated[Whole, Field(ge=1, le=20), LIKE_2_0]
    """People who work taps at the same time."""
    seconds_per_action: Annotated[Number, Field(ge=1, le=900)]
    """One person, one tap, walking included; where manifolds are named, walking between them is not."""
    manifolds: Annotated[
        tuple[TapPlaceDocument, ...], Field(max_length=20, exclude_if=lambda places: not places)
    ] = ()
    """Where the taps are turned. Left out: no walk is counted beyond `seconds_per_action`."""
    walks: Annotated[tuple[WalkDocument, ...], Field(max_length=190, exclude_if=lambda walks: not walks)] = ()
    """Between every two of the manifolds."""


class LatestDocument(DocumentShape):
    label: Label
    latest_min: Annotated[Number, Field(ge=0, le=2880)]
    """From the first tap."""


TwoLabels = tuple[Label, Label]
GroupOfLabels = Annotated[tuple[Label, ...], Field(min_length=2, max_length=50)]


class RulesDocument(DocumentShape):
    start: Labels = ()
    """Taps that must be the first to open; empty: the choice is free."""
    order: Labels = ()
    """Taps that must open in this order."""
    never_at_once: Annotated[tuple[TwoLabels, ...], Field(max_length=200, exclude_if=lambda pairs: not pairs)] = ()
    """Pairs of taps that are never open at the same time: one is closed before the other opens, or stays shut."""
    together: Annotated[tuple[GroupOfLabels, ...], Field(max_length=100, exclude_if=lambda groups: not groups)] = ()
    """Groups of taps that open together, one straight after the other, or not at all."""
    latest: Annotated[tuple[LatestDocument, ...], Field(max_length=200, exclude_if=lambda rows: not rows)] = ()
    """Taps that, if they open, have been opened by then."""
    own_sequence: SequenceDocument | None = None
    """A sequence the shop has; the answer is never worse than this one."""


class SearchDocument(DocumentShape):
    """How hard to look. Nothing here changes the physics, so all of it may be left out."""

    cell_mm: Annotated[Number, Field(ge=5, le=MOST_CELL_MM)] = 50.0
    coarse_cell_mm: Annotated[Number, Field(ge=10, le=1000)] = 100.0
    """Orders are looked for on these; smaller ones than cell_mm are taken as large as cell_mm."""
    most_zones: Annotated[Whole, Field(ge=10, le=1000), LIKE_2_0] = 180
    tick_s: Annotated[Number, Field(ge=1, le=120)] = 5.0
    rounds: Annotated[Whole, Field(ge=1, le=50), LIKE_2_0] = 5
    seed: Annotated[Whole, Field(ge=0, le=2_000_000_000), LIKE_2_0] = 1
    solver_effort: Annotated[Number, Field(ge=0.1, le=600)] = 4.0
    """Deterministic time of one call of the constraint solver, in its own units."""
    scenarios: Annotated[Whole, Field(ge=20, le=MOST_SCENARIOS), LIKE_2_0] | None = came_later()
    """Variations of the day that each leading sequence is played in. Left out: none."""
    near_percent: WholePercent | None = came_later()
    """Sequences slower than the fastest by up to this compete on how many variations they stay clean in."""
    mistakes: Annotated[bool, Strict()] | None = came_later()
    """Whether single mistakes of the crew are played, and with them, in a plan, lines and vents that make no
    difference. Left out: in a plan yes, in the check of a sequence no."""
    remedies: Annotated[bool, Strict()] | None = came_later()
    """Whether changes of the case are tried where no sequence is admissible. Left out: yes."""
