"""Layouts like the side of a hull laid flat, drawn by chance and the same for the same seed; all of it invented.

A side tapers from midships to the bow and a little to the stern. Frames, where bulkheads will land, are strips of slow
laminate; pads of solid laminate and areas of a core with deeper grooves lie in the bays; some sides have a window or
a piece of the transom. Lines stand 0.5 to 0.7 m apart (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from benchmarks.by_hand.invented_materials import FAST, SLOW, SOLID, USUAL, materials, resin

Point = list[int]

_STEP_MM = 250
_INSET_MM = 20
"""Of a vent from the edge that it runs along."""
_LINE_FROM_EDGE_MM = 120
_FRAME_MM = 150
_GROUND_MM = 400
"""Height of the keel edge above the floor, on which the container stands."""
_KG_PER_MIN_M2 = (0.35, 0.8)
"""Flow cap of a machine over the area that it serves: from one that binds to one that hardly does."""

_SEARCH = {
    "cell_mm": 110,
    "coarse_cell_mm": 150,
    "most_zones": 80,
    "rounds": 2,
    "solver_effort": 1,
    "mistakes": False,
    "remedies": False,
}
_SECTIONS: tuple[tuple[str | None, ...], ...] = ((None,), ("AFT", "FWD"), ("AFT", "MID", "FWD"))
"""Names of one, two and three of them."""


@dataclass(frozen=True, kw_only=True)
class _Side:
    """The skin laid flat: x from the stern, y along the skin from the keel, in mm."""

    length_mm: float
    girth_mm: float
    bow: float
    """Share of the girth that the sheer loses at the bow, and `stern` at the stern."""
    stern: float
    forefoot_mm: float
    """By how much the keel edge rises at the bow."""

    def y_mm(self, x_mm: float, share: float) -> float:
        """At this share of the girth, 0 the keel edge and 1 the sheer."""
        ahead = max(0.0, x_mm / self.length_mm - 0.45) / 0.55
        behind = max(0.0, 0.45 - x_mm / self.length_mm) / 0.45
        keel_mm = self.forefoot_mm * ahead**3
        sheer_mm = self.girth_mm * (1 - self.bow * ahead**2 - self.stern * behind**2)
        return keel_mm + share * (sheer_mm - keel_mm)

    def points(self, start_mm: float, end_mm: float, share: float, inset_mm: float = 0.0) -> list[Point]:
        """Along the girth's share from x to x, both ends included."""
        between = range(_STEP_MM, round(self.length_mm), _STEP_MM)
        stations = [start_mm, *(x_mm for x_mm in between if start_mm + 50 < x_mm < end_mm - 50), end_mm]
        return [[round(x_mm), round(self.y_mm(x_mm, share) + inset_mm)] for x_mm in stations]

    def patch(self, x_mm: tuple[float, float], share: tuple[float, float]) -> list[Point]:
        """Between these stations and shares of the girth, once round."""
        low, high = (self.points(*x_mm, at) for at in share)
        return [*low, *reversed(high)]


def hull_like(seed: int, number: int) -> dict[str, Any]:
    """The case document of layout `number` of this seed, as plain data that the ordinary reader takes."""
    chance = Random(f"hull-like {seed} {number}")
    lines, spacing_mm = chance.randint(3, 7), 10 * chance.randint(50, 70)
    side = _Side(
        length_mm=max(100.0 * chance.randint(20, 32), float(lines * spacing_mm)),
        girth_mm=float(lines * spacing_mm),
        bow=chance.uniform(0.2, 0.45),
        stern=chance.uniform(0.0, 0.12),
        forefoot_mm=chance.choice((0.0, 0.15)) * lines * spacing_mm,
    )
    frames_mm = _frames(chance, side)
    window = _window(chance, side, frames_mm, lines) if chance.random() < 0.3 else None
    transom_mm = chance.choice((0, 0, 0, 300, 400))
    areas = list(_areas(chance, side, frames_mm, lines, window))
    return {
        "schema_version": 1,
        "name": f"Hull-like {seed}-{number}",
        "note": "Drawn by chance; all of it invented.",
        "sheet": {"outlines": list(_outlines(side, window, transom_mm)), "heights": _heights(chance, side)},
        **materials(chance),
        "areas": [{"name": "side", "laminate": USUAL, "border_mm": None}, *areas],
        "feed_lines": _feed_lines(chance, side, frames_mm, lines),
        "vents": [*_vents(chance, side, transom_mm), *_pad_vents(areas)],
        "supply": _supply(chance, side),
        "resin": resin(chance),
        "process": _process(chance),
        "crew": {"hands": chance.randint(1, 3), "seconds_per_action": chance.choice((10, 15, 20, 30))},
        "search": dict(_SEARCH),
    }


def _frames(chance: Random, side: _Side) -> list[float]:
    """Where the frames stand that part the lines into sections: none, one or two."""
    count = chance.choice((0, 0, 0, 1, 1, 2))
    return [side.length_mm * (k + 1) / (count + 1) + chance.uniform(-250, 250) for k in range(count)]


def _window(chance: Random, side: _Side, frames_mm: list[float], lines: int) -> list[Point] | None:
    """In the bay below the topmost line, clear of frames."""
    start_mm = chance.uniform(0.2, 0.5) * side.length_mm
    end_mm = start_mm + chance.uniform(400, 800)
    if any(start_mm - _FRAME_MM < x_mm < end_mm + _FRAME_MM for x_mm in frames_mm):
        return None
    return side.patch((start_mm, end_mm), ((lines - 1.25) / lines, (lines - 0.75) / lines))


def _outlines(side: _Side, window: list[Point] | None, transom_mm: int) -> Iterator[dict[str, Any]]:
    keel, sheer = (side.points(0.0, side.length_mm, share) for share in (0.0, 1.0))
    holes = {} if window is None else {"holes_mm": [window]}
    yield {"name": "side", "border_mm": [*keel, *reversed(sheer)], **holes}
    if transom_mm:
        low_mm, high_mm = keel[0][1], sheer[0][1]
        border = [[-transom_mm, low_mm], [0, low_mm], [0, high_mm], [-transom_mm, high_mm]]
        yield {"name": "transom", "border_mm": border}


def _heights(chance: Random, side: _Side) -> list[dict[str, Any]]:
    """The bilge rises less steeply than the topside, of the girth that is left at each station."""
    bilge, topside = chance.uniform(0.2, 0.6), chance.uniform(0.7, 0.95)
    rise = {0.0: 0.0, 0.4: 0.4 * bilge, 1.0: 0.4 * bilge + 0.6 * topside}
    return [
        {"at_mm": point, "height_mm": round(_GROUND_MM + share_up * (side.y_mm(point[0], 1) - side.y_mm(point[0], 0)))}
        for share, share_up in rise.items()
        for point in side.points(0.0, side.length_mm, share)[::4]
    ]


def _areas(
    chance: Random, side: _Side, frames_mm: list[float], lines: int, window: list[Point] | None
) -> Iterator[dict[str, Any]]:
    if chance.random() < 0.5:
        start_mm = chance.uniform(0.1, 0.5) * side.length_mm
        low = chance.randint(0, lines - 2) / lines
        x_mm = (start_mm, start_mm + chance.uniform(0.2, 0.4) * side.length_mm)
        yield {"name": "deep grooves", "laminate": FAST, "border_mm": side.patch(x_mm, (low, low + 2 / lines))}
    for number, middle_mm in enumerate(frames_mm, 1):
        x_mm = (middle_mm - _FRAME_MM / 2, middle_mm + _FRAME_MM / 2)
        border = side.patch(x_mm, (0.0, chance.choice((0.5, 0.75, 1.0))))
        yield {"name": f"frame {number}", "laminate": SLOW, "border_mm": border}
    for number in range(1, chance.randint(0, 2) + 1):
        bay = chance.randint(0, lines - 2) if window is None else 0
        low, size_mm = (bay + chance.uniform(0.55, 0.9)) / lines, chance.uniform(200, 400)
        start_mm = chance.uniform(0.1, 0.7) * side.length_mm
        share = (low, low + chance.uniform(150, 300) / side.girth_mm)
        laminate = chance.choice((SLOW, SOLID))
        border = side.patch((start_mm, start_mm + size_mm), share)
        yield {"name": f"pad {number}", "laminate": laminate, "border_mm": border}


def _feed_lines(chance: Random, side: _Side, frames_mm: list[float], lines: int) -> list[dict[str, Any]]:
    """Lengthwise, numbered from the keel, parted at the frames; fanned with the girth."""
    bore_mm = chance.choice((12, 14))
    return [
        {
            "name": f"{number}",
            "bore_mm": bore_mm,
            "hose_bore_mm": bore_mm,
            "use": "candidate",
            "sections": _sections(side, frames_mm, (number - 0.5) / lines),
        }
        for number in range(1, lines + 1)
    ]


def _sections(side: _Side, frames_mm: list[float], share: float) -> list[dict[str, Any]]:
    ends_mm = [_LINE_FROM_EDGE_MM, *frames_mm, side.length_mm - _LINE_FROM_EDGE_MM]
    names = _SECTIONS[len(frames_mm)]
    gap_mm = _FRAME_MM / 2 + 10
    out = []
    for place, name in enumerate(names):
        start_mm = ends_mm[place] + (gap_mm if place else 0)
        end_mm = ends_mm[place + 1] - (gap_mm if place + 1 < len(names) else 0)
        run = {"run_mm": side.points(start_mm, end_mm, share), "hose_length_mm": 3000, "inlet": "middle"}
        out.append(run if name is None else {"name": name, **run})
    return out


def _vents(chance: Random, side: _Side, transom_mm: int) -> Iterator[dict[str, Any]]:
    """Along keel edge and sheer, on some sides at the stem too, and at the far edge of a transom."""
    start_mm, end_mm = _INSET_MM, side.length_mm - _INSET_MM
    yield _vent("V-KEEL", side.points(start_mm, end_mm, 0.0, _INSET_MM))
    yield _vent("V-SHEER", side.points(start_mm, end_mm, 1.0, -_INSET_MM))
    if chance.random() < 0.5:
        yield _vent("V-STEM", [[round(end_mm), round(side.y_mm(end_mm, share))] for share in (0.1, 0.9)])
    if transom_mm:
        yield _vent("V-TRANSOM", [[_INSET_MM - transom_mm, round(side.y_mm(0.0, share))] for share in (0.05, 0.95)])


def _pad_vents(areas: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """A solid pad has a vent in its middle: the resin that goes round it closes there (common practice, no source)."""
    for area in areas:
        if area["laminate"] == SOLID:
            corners = area["border_mm"]
            middle = [round(sum(corner[axis] for corner in corners) / len(corners)) for axis in (0, 1)]
            yield _vent(f"V-{area['name'].upper().replace(' ', '-')}", [middle])


def _vent(label: str, run_mm: list[Point]) -> dict[str, Any]:
    return {"name": label, "run_mm": run_mm, "bore_mm": 12, "hose_length_mm": 3000, "catch_pot_litres": 10}


def _supply(chance: Random, side: _Side) -> dict[str, Any]:
    if chance.random() < 0.5:
        return {"kind": "open_container", "surface_height_mm": 0, "manifold_volume_litres": 0.5}
    cap_kg_per_min = chance.uniform(*_KG_PER_MIN_M2) * side.length_mm * side.girth_mm / 1e6
    return {
        "kind": "metering_machine",
        "flow_cap_kg_per_min": round(cap_kg_per_min, 1),
        "pressure_cap_mbar_abs": 950,
        "manifold_height_mm": 800,
        "manifold_volume_litres": 1.0,
    }


def _process(chance: Random) -> dict[str, Any]:
    temperature_c = chance.choice((18, 20, 22))
    return {
        "ambient_mbar_abs": 1013,
        "vacuum_mbar_abs": chance.choice((15, 25, 40)),
        "mould_temperature_c": temperature_c,
        "resin_temperature_c": temperature_c,
        "humidity_percent": 55,
        "gel_fraction_percent": 70,
        "smallest_lock_cm2": 50,
        "longest_run_mm": 900,
        "reserve_percent": 10,
        "permeability_spread_percent": 25,
        "permeability_patchy_percent": 12,
        "drop_test": {"most_rise_mbar": 10, "minutes": 15},
    }
