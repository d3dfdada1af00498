"""Materials of the hull-like layouts, all invented: fabrics, cores, laminates from fast to slow, a resin."""

from __future__ import annotations

from random import Random
from typing import Any

USUAL, FAST, SLOW, SOLID = "sandwich", "deep grooves", "shallow grooves", "solid"
"""Laminates by how the front moves in them."""


def materials(chance: Random) -> dict[str, Any]:
    """The blocks `reinforcements`, `cores` and `laminates` of a case."""
    along_m2 = round(chance.uniform(0.9e-10, 1.3e-10), 12)
    fabric = {
        "fibre_density_kg_m3": 2560,
        "areal_weight_g_m2": 600,
        "permeability": {
            "measured": {"along_m2": along_m2, "across_m2": 0.9 * along_m2, "at_fibre_volume_percent": 52}
        },
    }
    return {
        "reinforcements": {"biax 600": fabric},
        "cores": {
            USUAL: _grooved(width_mm=1.0, depth_mm=1.0),
            FAST: _grooved(width_mm=1.2, depth_mm=1.3),
            SLOW: _grooved(width_mm=0.8, depth_mm=0.8),
        },
        "laminates": {
            **{name: _laminate({"core": name}, plies=2) for name in (USUAL, FAST, SLOW)},
            SOLID: _laminate(None, plies=4),
        },
    }


def resin(chance: Random) -> dict[str, Any]:
    """The block `resin`, its gel time at 20 degrees drawn."""
    at_20_c_min = chance.choice((70, 95, 120, 150))
    return {
        "name": "Invented vinyl ester",
        "batch": "BY-HAND",
        "density_kg_m3": 1080,
        "viscosity_points": [
            {"temperature_c": at_c, "viscosity_mpa_s": mpa_s}
            for at_c, mpa_s in ((15, 320), (20, 250), (25, 200), (30, 160))
        ],
        "gel_time_points": [
            {"temperature_c": at_c, "initiator_percent": 1.5, "gel_time_min": round(share * at_20_c_min, 1)}
            for at_c, share in ((15, 1.42), (20, 1.0), (25, 0.71), (30, 0.51))
        ],
        "initiator": {"level_percent": 1.5, "least_percent": 1.2, "most_percent": 2.0},
    }


def _grooved(*, width_mm: float, depth_mm: float) -> dict[str, Any]:
    return {
        "thickness_mm": 15,
        "grooves": [
            {"width_mm": width_mm, "depth_mm": depth_mm, "pitch_mm": 40, "angle_deg": angle_deg}
            for angle_deg in (0, 90)
        ],
        "perforations": {"diameter_mm": 2, "pitch_mm": 40},
        "surface_uptake_g_m2": 250,
    }


def _laminate(core: dict[str, Any] | None, *, plies: int) -> dict[str, Any]:
    skin = {"ply": "biax 600", "angle_deg": 0, "count": plies}
    return {"fibre_volume_percent": 52, "layers": [skin, *([core] if core else []), skin]}
