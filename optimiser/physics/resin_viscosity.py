"""Viscosity of the uncured resin. Source: Arrhenius' law, as in `arrhenius`."""

from __future__ import annotations

from optimiser.physics.arrhenius import arrhenius_factor, value_between_points


def viscosity_between_points_pa_s(points: tuple[tuple[float, float], ...], temperature_k: float) -> float:
    """Viscosity, Pa s, from (temperature_k, viscosity_pa_s) points of the resin's data sheet.

    Arrhenius between neighbouring points: ln(mu) linear in 1/T. OutOfRangeError outside the points' range
    (0.05 K is forgiven), so a single point holds only at its own temperature.
    """
    return value_between_points(points, temperature_k, what="the viscosity")


def arrhenius_viscosity_pa_s(
    *,
    reference_viscosity_pa_s: float,
    reference_k: float,
    activation_energy_j_mol: float,
    temperature_k: float,
) -> float:
    """Viscosity, Pa s, at a temperature: mu = mu_ref exp[(E / R)(1 / T - 1 / T_ref)].

    Holds for fresh resin over the few tens of kelvin in which E was fitted.
    """
    return reference_viscosity_pa_s * arrhenius_factor(
        temperature_k=temperature_k, reference_k=reference_k, activation_energy_j_mol=activation_energy_j_mol
    )
