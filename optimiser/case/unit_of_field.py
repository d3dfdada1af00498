"""The unit that stands at the end of a field's name."""

from __future__ import annotations

from typing import Final

_UNIT_OF_ENDING: Final = {
    "_mbar_litres_per_s": "mbar l/s",
    "_kj_per_mol": "kJ/mol",
    "_kg_per_min": "kg/min",
    "_m3_per_h": "m3/h",
    "_mbar_abs": "mbar absolute",
    "_kg_m3": "kg/m3",
    "_g_m2": "g/m2",
    "_mpa_s": "mPa.s",
    "_litres": "litres",
    "_percent": "%",
    "_per_s": "1/s",
    "_mbar": "mbar",
    "_deg": "degrees",
    "_cm2": "cm2",
    "_min": "min",
    "minutes": "min",
    "_m2": "m2",
    "_mm": "mm",
    "_um": "um",
    "_kg": "kg",
    "_g": "g",
    "_c": "degrees C",
    "_s": "s",
}


def unit_of_field(name: str) -> str:
    """The unit in words, '' for a field without one."""
    return next((unit for ending, unit in _UNIT_OF_ENDING.items() if name.endswith(ending)), "")
