"""The resin as its data sheet and the shop's own gel test give it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class ViscosityPoint:
    temperature_k: float
    viscosity_pa_s: float


@dataclass(frozen=True, kw_only=True)
class GelPoint:
    """Gel time measured at one temperature with one share of initiator."""

    temperature_k: float
    initiator_fraction: float
    gel_time_s: float


@dataclass(frozen=True, kw_only=True)
class AgedPoint:
    age_s: float
    """Since the initiator went in."""
    viscosity_pa_s: float


@dataclass(frozen=True, kw_only=True)
class MeasuredThickening:
    """Viscosity while the resin cures, measured at one temperature with one share of initiator."""

    temperature_k: float
    initiator_fraction: float
    points: tuple[AgedPoint, ...]
    """In order of age, the first at age 0."""


@dataclass(frozen=True, kw_only=True)
class ThickeningLaw:
    """Second exponent of the dual Arrhenius law, fitted with one share of initiator."""

    initiator_fraction: float
    cure_factor_1_s: float
    cure_energy_j_mol: float
    fitted_to_pa_s: float
    """No thicker resin was in the fit."""


@dataclass(frozen=True, kw_only=True)
class CureLaw:
    """Rate of cure by Kamal and Sourour, and how thick that makes the resin by Castro and Macosko."""

    initiator_fraction: float
    """Of the resin that both were fitted to."""
    first_factor_1_s: float
    first_energy_j_mol: float
    second_factor_1_s: float
    second_energy_j_mol: float
    share_power: float
    rest_power: float
    gel_share: float
    """Share cured at gel."""
    power_at_start: float
    power_growth: float
    fitted_to_pa_s: float
    """No thicker resin was in the fit."""

    @property
    def rate_constants(self) -> dict[str, float]:
        """As the laws of `cure_kinetics` take them."""
        return {
            "first_factor_1_s": self.first_factor_1_s,
            "first_energy_j_mol": self.first_energy_j_mol,
            "second_factor_1_s": self.second_factor_1_s,
            "second_energy_j_mol": self.second_energy_j_mol,
            "share_power": self.share_power,
            "rest_power": self.rest_power,
        }


@dataclass(frozen=True, kw_only=True)
class Resin:
    name: str
    batch: str
    density_kg_m3: float
    """Of the liquid resin."""
    viscosity_points: tuple[ViscosityPoint, ...]
    gel_points: tuple[GelPoint, ...]
    initiator_fraction: float
    """The level of this shot, mass of initiator over mass of resin."""
    initiator_least_fraction: float
    initiator_most_fraction: float
    """The range the resin's maker allows; nothing is computed outside it."""
    thickening: MeasuredThickening | ThickeningLaw | CureLaw | None = None
    """None: it stays as thin as it is fresh."""
