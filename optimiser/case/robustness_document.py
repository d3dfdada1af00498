"""What the played variations of the day say of a plan: a block of plan.json, there when they were asked for."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from optimiser.case.document_shape import DocumentShape, came_later

Percent = Annotated[float, Field(ge=0, le=100)]


class VariedQuantity(DocumentShape):
    """One quantity that was different in each variation, and how failures go with it."""

    name: str
    """What it is, in words."""
    spread: str
    """How far it was off, in words."""
    failed_when_low_percent: Percent
    """Failures among the third of the variations where it was lowest; of a gap: where it was not there."""
    failed_when_high_percent: Percent
    """Failures among the third where it was highest; of a gap: where it was there."""
    by_chance_percent: Percent
    """How often a difference as large would come by chance alone (Fisher's exact test)."""
    wet_out_rank_correlation_percent: Annotated[float, Field(ge=-100, le=100)] | None
    """Spearman's, times 100: 100 where wet-out rises whenever it does, -100 where it falls; null: one did not vary."""


class ZoneLocks(DocumentShape):
    """A zone in which air was locked in."""

    zone: str
    """Name of the zone, as on the map."""
    variations: int
    """In how many variations a region that matters was locked there."""
    locked_percent: Percent
    """The same as a share of all variations."""
    x_mm: float
    """Middle of the places where it closed, along the sheet."""
    y_mm: float
    """The same across the sheet."""


class LockedPlaceResult(DocumentShape):
    """A region that matters, locked in one variation."""

    variation: int
    """Its number, from 1 on."""
    zone: str
    """Name of the zone that most of it lies in."""
    x_mm: float
    """Its middle along the sheet."""
    y_mm: float
    """The same across the sheet."""


class BrokenRule(DocumentShape):
    """A rule of the taps that was not kept."""

    rule: str
    """What the sequence does against it, in words."""
    variations: int
    """In how many of them it was the first that was not kept."""


class VariedStep(DocumentShape):
    """When a step came."""

    order: int
    """Place among the steps of the plan."""
    label: str
    """Label on the tap."""
    came: int
    """In how many variations it came to it."""
    p05_s: float | None
    """Earlier in 5 of 100 variations; null: it came in fewer."""
    p50_s: float | None
    """Earlier in half of them."""
    p95_s: float | None
    """Earlier in 95 of 100; null: it did not come in that many."""


class ComparedSequence(DocumentShape):
    """A sequence that holds and was played in the same variations."""

    name: str
    """As among the candidates."""
    wet_out_s: float | None
    """As planned, on the full network."""
    clean: int
    """Variations in which it stayed clean and in time."""
    chosen: bool
    """Whether it is the plan."""
    given_up_after: int | None = came_later()
    """Variations after which it was given up, as it could no longer be clean more often than another; left out: it was
    played in all."""


class RobustnessResult(DocumentShape):
    """The plan played in variations of the day, by its triggers, on the coarse network. No promise: what the case does
    not spread and the network does not know is in none of them."""

    statement: str
    """What was found, in a sentence or two."""
    variations: int
    """How many were played."""
    clean: int
    """Nothing locked that matters, all wet before the gel limit of that variation, taps in the given order."""
    clean_percent: Percent
    """The same as a share."""
    clean_low_percent: Percent
    """Lower end of the interval of confidence."""
    clean_high_percent: Percent
    """Upper end. The interval is of the number of variations alone."""
    confidence_percent: Percent
    """How often such an interval holds the true share, at least."""
    interval: Literal["Clopper-Pearson"]
    """How the interval is found."""
    sampling: Literal["Latin hypercube"]
    """How the variations are drawn."""
    network_cells: int
    """Cells of the network on which they were played."""
    locked: int
    """Variations in which a region that matters was locked."""
    never_wet: int
    """Variations in which a place stayed dry for another reason."""
    out_of_order: int
    """Variations in which taps opened against the given order, or against another rule of theirs."""
    broken_rules: list[BrokenRule] | None = came_later()
    """Which rules, most often first; left out: none, or it was made before they were told apart."""
    late: int
    """Variations that were wet only after the gel limit, or used a mix for too long."""
    wet_out_p05_s: float | None
    """Wet sooner in 5 of 100 variations; null: never wet."""
    wet_out_p50_s: float | None
    """Wet sooner in half of them."""
    wet_out_p95_s: float | None
    """Wet sooner in 95 of 100."""
    as_planned_wet_out_s: float | None = came_later()
    """Wet-out of the order with nothing varied, on the same coarse network; null: never wet there."""
    least_gel_margin_s: float | None
    """Gel limit minus wet-out where that is least; null: never wet in one of them."""
    drivers: list[VariedQuantity]
    """What was varied: first what failures go with most, then what wet-out goes with most."""
    patchy_percent: Percent
    """Coefficient of variation of permeability from place to place, another field in each variation; it has no rank."""
    locked_zones: list[ZoneLocks]
    """Most often first."""
    locked_places: list[LockedPlaceResult] | None = came_later()
    """Every one of them, by variation."""
    steps: list[VariedStep]
    """When each step came."""
    compared: list[ComparedSequence]
    """Most often clean first."""
    gave_up_s: float
    """By how much the plan is slower, as planned, than the fastest sequence that holds."""
