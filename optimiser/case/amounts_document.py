"""What a plan says of resin, pressures and air: how much goes where, when it is mixed, and what leaks in."""

from __future__ import annotations

from optimiser.case.document_shape import DocumentShape, came_later


class LinePressure(DocumentShape):
    """Equal-length columns from the line's opening to the end: what a gauge on it would show.

    Never less than the vacuum under the bag: where the head of a full line asks for less, the column breaks there.
    """

    time_s: list[float]
    """From the start of the shot."""
    inlet_mbar_abs: list[float]
    """Absolute pressure where the hose joins the line."""
    far_end_mbar_abs: list[float]
    """Absolute pressure at the end of the line that gets less."""


class VentResult(DocumentShape):
    """A vent, and what it drew."""

    label: str
    """Label on the clamp."""
    drawn_litres: float
    """Resin drawn into it until it was clamped."""
    line_and_hose_litres: float
    """Inner volume of vent line and hose, which that resin fills first."""
    catch_pot_litres: float
    """What its pot holds."""
    in_catch_pot_litres: float
    """What runs on into the pot."""
    air_mbar: float
    """Most that the air driven out ahead of the resin raises the vent's far end above the vacuum at the pot."""
    flooded_at_s: float | None = came_later()
    """When resin stood in all of its line and hose; null: never, or it is taken to hold full vacuum all along."""
    far_end_mbar_abs: float | None = came_later()
    """Most that the far end of its line then had, until it was clamped, in place of the vacuum at the pot."""


class ResinQuantities(DocumentShape):
    """Kilograms of resin by use, as bought: the initiator comes on top."""

    laminate_kg: float
    """In the reinforcement."""
    core_kg: float
    """In grooves and holes of the core."""
    flow_mesh_kg: float
    """In the flow mesh."""
    feed_lines_kg: float
    """In the feed lines."""
    hoses_and_manifold_kg: float
    """In hoses and manifold."""
    race_tracks_kg: float = 0.0
    """In the gaps that the case names."""
    swollen_kg: float | None = came_later()
    """Beyond what the part holds under the full vacuum, where the bag gives: it bleeds into the vents in the hold."""
    drawn_into_vents_kg: float
    """Drawn into the vents."""
    bled_kg: float | None = came_later()
    """Let out of hose and manifold into a flush pot before taps after the first, where the case says so."""
    reserve_kg: float
    """The reserve that the case asks for, and what fills the last of several mixes up to a quarter of a full one."""
    total_kg: float
    """All of these together: what to have ready."""
    initiator_kg: float
    """Initiator for the total."""
    initiator_percent: float
    """Initiator on 100 parts of resin by weight."""
    mixes: int | None = None
    """Number of mixes, where the supply is mixed in batches."""
    in_catch_pots_kg: float = 0.0
    """Of what is drawn into the vents, what runs on into the pots."""
    drums: int | None = None
    """Full drums for the total, where the case says what a drum holds."""


class PlannedMix(DocumentShape):
    """One mix of resin, with a gel clock of its own."""

    number: int
    """Which mix, from 1."""
    resin_kg: float
    """Resin drawn from it in the run; the reserve is not mixed before it is wanted."""
    initiator_kg: float
    """Initiator for what is weighed into it, `made_kg`; in plans without that for a full mix, or what is drawn of the
    last."""
    made_kg: float | None = came_later()
    """Resin to weigh into it: a full mix, or what is left of all that is to be had ready, reserve included."""
    initiator_in_at_s: float
    """Latest that its gel clock can start and it is still ready on the fast day; negative: before the first tap."""
    begin_at_drawn_kg: float | None = came_later()
    """What is drawn since the first tap by then, fast day or slow; left out: it is begun before the first tap."""
    pour_by_drawn_kg: float | None = came_later()
    """What is drawn since the first tap when it must be in the container, where the case says how long a mix takes."""
    wanted_at_s: float
    """When the mix before it is used up."""
    used_up_at_s: float
    """When the last of it has left the pot, or the run ends."""
    gel_limit_at_s: float
    """End of the share of the gel time that may be used, by its own clock."""


class Leak(DocumentShape):
    """What leaks in while the drop test just meets the shop's own limit. No limit of this program stands here."""

    bag_litres: float
    """Air under the bag, in hoses and pots, as the case states it."""
    leak_mbar_litres_per_s: float
    """Volume times rise over time."""
    over_s: float
    """Length of the shot: to wet-out, or to gel where it is never wet."""
    air_let_in_litres: float
    """In that time, measured at the vacuum under the bag."""
    air_let_in_g: float
    """The same by weight, at the temperature of the mould."""
    pump_holds_mbar_abs: float | None = None
    """Lowest that the pump can hold against it, line losses aside; null: the case does not state the pump."""
    least_pump_m3_per_h: float | None = came_later()
    """Where it does not: least that a pump must draw at the planned vacuum to hold it, line losses aside."""
