"""A law of cure and the gel times must be of one resin."""

from __future__ import annotations

import math
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.cure_warnings import cure_warnings
from optimiser.case.read_case import case_from_mapping
from optimiser.errors import InputError

GEL_MIN, GEL_SHARE = 90.0, 0.6
"""Of the demo at 20 degrees C with 1.5 %, and the share cured at gel."""


def said(gels_after_min: float) -> list[str]:
    """First-order cure, da/dt = A (1 - a): gel after -ln(1 - ag) / A, so A is that over the time."""
    data: dict[str, Any] = yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8"))
    data["process"]["age_at_first_tap_min"] = 5
    data["resin"]["cure_law"] = {
        "initiator_percent": 1.5,
        "first_factor_per_s": -math.log(1 - GEL_SHARE) / (60 * gels_after_min),
        "first_energy_kj_per_mol": 0,
        "second_factor_per_s": 0,
        "second_energy_kj_per_mol": 0,
        "share_exponent": 1,
        "rest_exponent": 1,
        "gel_share_percent": 100 * GEL_SHARE,
        "exponent_at_start": 0,
        "exponent_growth": 0,
        "fitted_to_mpa_s": 2000,
    }
    document = case_from_mapping(data).document
    return list(cure_warnings(document.resin, document.process.mould_temperature_c))


@pytest.mark.parametrize("times", [0.72, 1.0, 1.4])
def test_two_tests_of_one_resin_may_differ(times: float) -> None:
    """By half."""
    assert said(times * GEL_MIN) == []


@pytest.mark.parametrize(("gels_after_min", "told"), [(180.0, "180 min"), (1e6, "1e+06 min")])
def test_a_law_of_another_resin_is_told(gels_after_min: float, told: str) -> None:
    """With both times."""
    (warning,) = said(gels_after_min)
    assert f"at gel after {told} at 20 degrees C" in warning
    assert "the gel times say 90 min" in warning


@pytest.mark.parametrize("gels_after_min", [0.2, 50.0])
def test_a_law_that_gels_before_the_limit_is_refused(gels_after_min: float) -> None:
    """70 % of 90 min are 63: resin that its own law calls gel by then cannot be poured by that limit."""
    with pytest.raises(InputError) as refused:
        said(gels_after_min)
    (fault,) = refused.value.faults
    assert fault.path == "/resin/cure_law"
    assert f"gels after {gels_after_min:g} min at 20 degrees C" in fault.found
