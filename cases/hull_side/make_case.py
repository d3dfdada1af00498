"""Write case.yaml of the hull side: `python -m cases.hull_side.make_case`.

The side is unrolled by girth: at each station the distance along the skin from the keel is laid off square to
the keel. That keeps girths and stations true; it is no exact development, and lengths along the sheer come
out a little short.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np
import yaml

from cases.hull_side.hull_form import CUT_AT_ENDS_M, LENGTH_M, girth_m, height_above_keel_m

CASE_FILE: Final = Path(__file__).with_name("case.yaml")
KEEL_ABOVE_FLOOR_M: Final = 0.5
LINE_GIRTH_FRACTIONS: Final = (0.1, 0.3, 0.5, 0.7, 0.9)
SECTIONS_M: Final = {"AFT": (0.35, 4.40), "MID": (4.50, 8.50), "FWD": (8.60, 12.65)}
_HEIGHT_FRACTIONS: Final = tuple(np.linspace(0.0, 1.0, 11))

Block = dict[str, Any]


def case_text() -> str:
    """The whole document, each block under a comment."""
    text = yaml.safe_dump(_document(), sort_keys=False, default_flow_style=None, width=105)
    for key, comment in _COMMENTS.items():
        text = text.replace(f"\n{key}:", f"\n\n# {comment}\n{key}:", 1)
    return f"{_HEADER}\n{text}"


_HEADER: Final = """\
# Written by make_case.py; change that, not this.
# Outboard side of a 13 m catamaran hull of an invented yard, unrolled by girth at each station: x from the
# stern, y along the skin from the keel, both in mm. Heights are true, above the shop floor.
# All materials are invented demo data.
"""
_COMMENTS: Final = {
    "sheet": "One outline; heights at every half metre and every tenth of the girth.",
    "laminates": "From the tool side to the bag side.",
    "areas": "The side, and solid laminate where loads come in.",
    "feed_lines": "Five lines numbered from the keel, each in three sections.",
    "vents": "Along the keel and along the sheer.",
    "supply": "A metering machine; it never presses harder than the air.",
    "resin": "From data sheet and gel test.",
    "process": "The morning of the shot.",
    "crew": "Two people at the taps.",
    "search": "How hard to look.",
}


def _document() -> Block:
    return {
        "schema_version": 1,
        "name": "Hull side 13 m",
        "note": _NOTE,
        "sheet": _sheet(),
        "reinforcements": _REINFORCEMENTS,
        "cores": _CORES,
        "flow_meshes": _FLOW_MESHES,
        "laminates": _LAMINATES,
        "areas": _areas(),
        "feed_lines": _feed_lines(),
        "vents": _vents(),
        "supply": _SUPPLY,
        "resin": _RESIN,
        "process": _PROCESS,
        "crew": {"hands": 2, "seconds_per_action": 20},
        "search": {"cell_mm": 50, "coarse_cell_mm": 110, "most_zones": 180},
    }


_NOTE: Final = (
    "Wigley's parabolic hull with a vertical topside, unrolled by girth; "
    "solid patches at a daggerboard case and two chainplates fill more slowly than the side."
)


def _stations_m() -> list[float]:
    """Every half metre between the cut ends, and the ends."""
    inner = np.arange(0.5, LENGTH_M, 0.5)
    return [CUT_AT_ENDS_M, *(float(x) for x in inner), LENGTH_M - CUT_AT_ENDS_M]


def _at_mm(x_m: float, y_m: float) -> list[int]:
    return [round(x_m * 1e3), round(y_m * 1e3)]


def _sheet() -> Block:
    stations = _stations_m()
    keel = [_at_mm(stations[0], 0.0), _at_mm(stations[-1], 0.0)]
    sheer = [_at_mm(x, girth_m(x)) for x in reversed(stations)]
    heights = [
        {
            "at_mm": _at_mm(x, fraction * girth_m(x)),
            "height_mm": round((KEEL_ABOVE_FLOOR_M + height_above_keel_m(x, fraction)) * 1e3),
        }
        for x in stations
        for fraction in _HEIGHT_FRACTIONS
    ]
    return {"outlines": [{"name": "side", "border_mm": keel + sheer}], "heights": heights}


def _run_mm(start_m: float, end_m: float, fraction: float) -> list[list[int]]:
    """Along a share of the girth, with a corner at every station between."""
    between = [x for x in _stations_m() if start_m < x < end_m]
    return [_at_mm(x, fraction * girth_m(x)) for x in (start_m, *between, end_m)]


def _feed_lines() -> list[Block]:
    return [
        {
            "name": str(number),
            "bore_mm": 14,
            "hose_bore_mm": 14,
            "use": "candidate",
            "sections": [
                {
                    "name": name,
                    "run_mm": _run_mm(start_m, end_m, fraction),
                    "hose_length_mm": 2500 if name == "MID" else 5000,
                    "inlet": "middle",
                }
                for name, (start_m, end_m) in SECTIONS_M.items()
            ],
        }
        for number, fraction in enumerate(LINE_GIRTH_FRACTIONS, start=1)
    ]


def _vents() -> list[Block]:
    start_m, end_m = CUT_AT_ENDS_M, LENGTH_M - CUT_AT_ENDS_M
    edges = {"V-KEEL": 0.0, "V-SHEER": 1.0}
    return [
        {
            "name": name,
            "run_mm": _run_mm(start_m, end_m, fraction),
            "bore_mm": 14,
            "hose_length_mm": 4000,
            "catch_pot_litres": 20,
        }
        for name, fraction in edges.items()
    ]


def _rectangle_mm(x0: int, x1: int, y0: int, y1: int) -> list[list[int]]:
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


_SHORT_MM: Final = 50
"""More than what a run on fine cells showed closed in there, a strip of some ten millimetres."""


def _areas() -> list[Block]:
    """The mesh ends short of the edge where resin leaves a patch: there the tool side would be closed in."""
    solid = {
        "daggerboard case": (_rectangle_mm(6300, 7100, 350, 850), _rectangle_mm(6300, 7100, 350 + _SHORT_MM, 850)),
        **{
            name: (_rectangle_mm(aft, forward, 1800, 2200), _rectangle_mm(aft, forward, 1800, 2200 - _SHORT_MM))
            for name, aft, forward in (("chainplate aft", 5000, 5400), ("chainplate forward", 7600, 8000))
        },
    }
    side: Block = {"name": "side", "laminate": "sandwich", "border_mm": None}
    patches = [
        {"name": name + suffix, "laminate": laminate, "border_mm": border}
        for name, (whole, meshed) in solid.items()
        for suffix, laminate, border in ((", edge", "solid", whole), ("", "solid under mesh", meshed))
    ]
    return [side, *patches]


def _measured(along_m2: float, across_m2: float, through_m2: float, percent: float) -> Block:
    in_plane_m2 = {"along_m2": along_m2, "across_m2": across_m2}
    return {"measured": {**in_plane_m2, "through_m2": through_m2, "at_fibre_volume_percent": percent}}


_REINFORCEMENTS: Final = {
    "glass biax 800": {
        "fibre_density_kg_m3": 2560,
        "areal_weight_g_m2": 800,
        "permeability": _measured(1.1e-10, 1.0e-10, 8.0e-12, 52),
    },
    "carbon biax 600": {
        "fibre_density_kg_m3": 1800,
        "areal_weight_g_m2": 600,
        "permeability": _measured(5.0e-11, 4.5e-11, 4.0e-12, 54),
    },
}
_CORES: Final = {
    "grooved 20": {
        "thickness_mm": 20,
        "grooves": [
            {"width_mm": 1.0, "depth_mm": 1.2, "pitch_mm": 40, "angle_deg": 0},
            {"width_mm": 1.0, "depth_mm": 1.2, "pitch_mm": 40, "angle_deg": 90},
        ],
        "perforations": {"diameter_mm": 2, "pitch_mm": 40},
        "surface_uptake_g_m2": 300,
    }
}
_FLOW_MESHES: Final = {"knitted mesh": {"thickness_mm": 1.0, "porosity_percent": 85, "permeability_m2": 3.2e-9}}


def _solid() -> list[Block]:
    """Anew for each laminate: YAML would tie two of one to each other."""
    return [
        {"ply": "glass biax 800", "angle_deg": 45, "count": 2, "fibre_volume_percent": 52},
        {"ply": "carbon biax 600", "angle_deg": 0, "count": 6, "fibre_volume_percent": 54},
        {"ply": "glass biax 800", "angle_deg": 45, "count": 2, "fibre_volume_percent": 52},
    ]


_LAMINATES: Final = {
    "sandwich": {
        "fibre_volume_percent": 52,
        "layers": [
            {"ply": "glass biax 800", "angle_deg": 45, "count": 2},
            {"core": "grooved 20"},
            {"ply": "glass biax 800", "angle_deg": 45, "count": 2},
        ],
    },
    "solid": {"layers": _solid()},
    "solid under mesh": {"layers": [*_solid(), {"flow_mesh": "knitted mesh"}]},
}
_SUPPLY: Final = {
    "kind": "metering_machine",
    "flow_cap_kg_per_min": 8,
    "pressure_cap_mbar_abs": 950,
    "manifold_height_mm": 800,
    "manifold_volume_litres": 1.5,
}
_RESIN: Final = {
    "name": "Demo vinyl ester, slow",
    "batch": "B-042",
    "density_kg_m3": 1080,
    "viscosity_points": [
        {"temperature_c": 15, "viscosity_mpa_s": 320},
        {"temperature_c": 20, "viscosity_mpa_s": 250},
        {"temperature_c": 25, "viscosity_mpa_s": 200},
    ],
    "gel_time_points": [
        {"temperature_c": 15, "initiator_percent": 1.2, "gel_time_min": 156},
        {"temperature_c": 20, "initiator_percent": 1.2, "gel_time_min": 110},
        {"temperature_c": 25, "initiator_percent": 1.2, "gel_time_min": 78},
    ],
    "initiator": {"level_percent": 1.2, "least_percent": 1.0, "most_percent": 2.0},
}
_PROCESS: Final = {
    "ambient_mbar_abs": 1013,
    "vacuum_mbar_abs": 25,
    "mould_temperature_c": 20,
    "resin_temperature_c": 20,
    "humidity_percent": 55,
    "gel_fraction_percent": 70,
    "smallest_lock_cm2": 50,
    "longest_run_mm": 700,
    "reserve_percent": 10,
    "permeability_spread_percent": 25,
    "permeability_patchy_percent": 12,
    "drop_test": {"most_rise_mbar": 10, "minutes": 15},
}


if __name__ == "__main__":
    CASE_FILE.write_text(case_text(), encoding="utf-8")
