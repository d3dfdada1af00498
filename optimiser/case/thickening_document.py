"""How the resin thickens while it cures, as a rheometer or its data sheet gives it."""

from __future__ import annotations

from typing import Annotated, Protocol

from pydantic import Field

from optimiser.case.document_shape import DocumentShape, Number

_Temperature = Annotated[Number, Field(ge=-10, le=100)]
_Initiator = Annotated[Number, Field(ge=0.1, le=60)]
AgedViscosity = Annotated[Number, Field(ge=5, le=1_000_000)]


class AgedViscosityDocument(DocumentShape):
    age_min: Annotated[Number, Field(ge=0, le=2880)]
    """Since the initiator went in."""
    viscosity_mpa_s: AgedViscosity


class ViscosityWithAgeDocument(DocumentShape):
    """A table of one test: one temperature, one level of initiator.

    Other temperatures and levels thicken alike at the same share of their gel time (common practice, no source).
    """

    temperature_c: _Temperature
    """Held all along the test; gel times must be known there."""
    initiator_percent: _Initiator
    """Of the test."""
    points: Annotated[tuple[AgedViscosityDocument, ...], Field(min_length=2, max_length=500)]
    """In order of age, from 0 until past the gel limit."""


class ThickeningLawDocument(DocumentShape):
    """Second exponent of the dual Arrhenius law: fresh viscosity times exp of the sum of k exp(-E / (R T)) dt."""

    initiator_percent: _Initiator
    """Of the resin that the law was fitted to."""
    cure_factor_per_s: Annotated[Number, Field(ge=1e-12, le=1e30)]
    """k."""
    cure_energy_kj_per_mol: Annotated[Number, Field(ge=1, le=300)]
    """E."""
    fitted_to_mpa_s: AgedViscosity
    """The thickest resin of the fit; nothing is judged beyond it."""


_Factor = Annotated[Number, Field(ge=0, le=1e30)]
_Energy = Annotated[Number, Field(ge=0, le=300)]
_Exponent = Annotated[Number, Field(ge=0, le=20)]


class CureLawDocument(DocumentShape):
    """Cure by da/dt = (k1 + k2 a^m)(1 - a)^n with k = A exp(-E / (R T)), viscosity by [ag / (ag - a)]^(C1 + C2 a)."""

    initiator_percent: _Initiator
    """Of the resin that the law was fitted to."""
    first_factor_per_s: Annotated[Number, Field(ge=1e-12, le=1e30)]
    """A1: without it cure never begins."""
    first_energy_kj_per_mol: _Energy
    """E1."""
    second_factor_per_s: _Factor
    """A2."""
    second_energy_kj_per_mol: _Energy
    """E2."""
    share_exponent: _Exponent
    """m."""
    rest_exponent: _Exponent
    """n."""
    gel_share_percent: Annotated[Number, Field(ge=1, le=100)]
    """ag, share cured at gel."""
    exponent_at_start: _Exponent
    """C1."""
    exponent_growth: Annotated[Number, Field(ge=-20, le=20)]
    """C2."""
    fitted_to_mpa_s: AgedViscosity
    """The thickest resin of the fit; nothing is judged beyond it."""


class Thickening(Protocol):
    """What a resin says of it, in a case or in store: at most one of them."""

    @property
    def viscosity_with_age(self) -> ViscosityWithAgeDocument | None: ...
    @property
    def thickening_law(self) -> ThickeningLawDocument | None: ...
    @property
    def cure_law(self) -> CureLawDocument | None: ...
