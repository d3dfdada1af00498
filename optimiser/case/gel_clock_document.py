"""What a plan says of the resin's age where the case follows it."""

from __future__ import annotations

from typing import Literal

from optimiser.case.document_shape import DocumentShape


class PlannedTemperatures(DocumentShape):
    """What mould and resin are taken to be at a moment of the shot."""

    at_s: float
    """From the first tap; straight between rows."""
    mould_temperature_c: float
    """Of the mould."""
    resin_temperature_c: float
    """Of the resin in its container."""


class GelClock(DocumentShape):
    """By whose age gel is judged, where that is tightest, and how the resin thickens.

    With it the gel limit of the plan counts from the first tap.
    """

    judged_by: Literal["oldest_resin", "each_place"]
    """As old as the first mix everywhere, or at each place the oldest resin that can have wetted it."""
    age_at_first_tap_s: float
    """Of the first mix when the first tap opens."""
    least_margin_s: float | None
    """Of all places, limit less wet-out; null: not all wet."""
    least_margin_at: str
    """Where that is: place and zone."""
    age_there_s: float | None
    """Of the resin there when it is wet."""
    age_limit_there_s: float
    """What it may be."""
    viscosity_first_tap_mpa_s: float
    """Of the first mix when the first tap opens."""
    viscosity_wet_out_mpa_s: float | None
    """What the run counts with everywhere when the last place is wet; null: not all wet."""
    temperatures: list[PlannedTemperatures]
    """How they change over the shot; empty: they stay."""
