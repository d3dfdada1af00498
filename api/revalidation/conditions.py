"""What a stored plan holds for, in words: the usual conditions, and what else tells it from others of its name."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Row

_ALWAYS = frozenset({"mould", "resin", "gel share"})
_ELSE = frozenset({"settings", "version", "made"})
"""Said only of plans that nothing else tells apart."""


def conditions_of(rows: Iterable[Row[Any]]) -> dict[int, str]:
    """By number of the item."""
    known = {row.number: (row.name, _conditions(row)) for row in rows}
    alike = Counter(map(_but_for_else, known.values()))
    values: dict[tuple[str | None, str], set[str]] = defaultdict(set)
    for name, conditions in known.values():
        for what, says in conditions.items():
            values[name, what].add(says)
    return {
        number: ", ".join(
            says
            for what, says in conditions.items()
            if what in _ALWAYS
            or (len(values[name, what]) > 1 and (what not in _ELSE or alike[_but_for_else((name, conditions))] > 1))
        )
        for number, (name, conditions) in known.items()
    }


def _but_for_else(named: tuple[str | None, Mapping[str, str]]) -> tuple[str | None, ...]:
    name, conditions = named
    return name, *(says for what, says in conditions.items() if what not in _ELSE)


def _conditions(row: Row[Any]) -> dict[str, str]:
    facts = _facts(row.facts)
    said = {}
    if facts is not None:
        said = {
            "mould": f"mould {facts['mould_temperature_c']:g} °C",
            "resin": f"resin {facts['resin_temperature_c']:g} °C",
            "gel share": f"{100 * facts['gel_fraction']:.4g} % of gel time",
            "initiator": f"initiator {facts['resin']['initiator']['level_percent']:g} %",
            "vacuum": f"vacuum {facts['vacuum_mbar_abs']:g} mbar",
            "ambient": f"ambient {facts['ambient_mbar_abs']:g} mbar",
            "hands": f"{facts['action_s']:g} s a tap",
        }
    said["settings"] = f"settings {(row.settings_digest or 'unknown')[:8]}"
    said["version"] = f"tapcall {row.software_version}"
    said["made"] = f"planned {row.created_at:%Y-%m-%d %H:%M} UTC"
    return said


def _facts(text: str | None) -> Mapping[str, Any] | None:
    """None for facts that another version kept."""
    try:
        facts = json.loads(text or "")
        return facts if isinstance(facts["resin"]["initiator"]["level_percent"], float | int) else None
    except (KeyError, TypeError, ValueError):
        return None
