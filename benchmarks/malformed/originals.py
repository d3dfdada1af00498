"""The right requests that are turned into wrong ones. All values are invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import yaml

from cases import demo_case_names, demo_case_path

_RESIN: Final[dict[str, Any]] = {
    "schema_version": 1,
    "name": "Malformed resin",
    "density_kg_m3": 1080,
    "viscosity_points": [{"temperature_c": 15, "viscosity_mpa_s": 320}, {"temperature_c": 25, "viscosity_mpa_s": 190}],
    "gel_time_points": [
        {"temperature_c": 15, "initiator_percent": 1.5, "gel_time_min": 120},
        {"temperature_c": 25, "initiator_percent": 1.5, "gel_time_min": 60},
    ],
    "initiator": {"least_percent": 1.2, "most_percent": 2.0},
    "batches": [
        {
            "batch": "B-9",
            "gel_tests": [
                {
                    "tested_at": "2026-03-02T07:30:00Z",
                    "temperature_c": 20,
                    "initiator_percent": 1.5,
                    "gel_time_min": 70,
                }
            ],
            "viscosity_tests": [],
        }
    ],
}
_SEQUENCE: Final[dict[str, Any]] = {
    "schema_version": 1,
    "steps": [
        {"action": "open", "label": "1", "when": {"start": True}},
        {"action": "open", "label": "2", "when": {"reached": "2", "share_percent": 90, "delay_s": 30}},
        {"action": "open", "label": "3", "when": {"wet_up_to": "2", "share_percent": 80}},
        {"action": "close", "label": "1", "when": {"clock_s": 1800}},
    ],
}
_CHANGES: Final[dict[str, Any]] = {
    "process": {"mould_temperature_c": 22, "resin_temperature_c": 21, "vacuum_mbar_abs": 20},
    "crew": {"hands": 2},
    "supply": {"kind": "open_container", "surface_height_mm": 0},
    "search": {"seed": 3},
}
_CHANGE: Final[dict[str, Any]] = {
    "gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 74},
    "mould_temperature_c": 21,
    "resin_temperature_c": 20,
    "ambient_mbar_abs": 1000,
    "vacuum_mbar_abs": 20,
    "gel_fraction_percent": 70,
    "initiator_level_percent": 1.5,
}


@dataclass(frozen=True, kw_only=True)
class Original:
    """A right request."""

    method: str
    path: str
    data: Mapping[str, Any]
    is_text: bool
    """Read by a reader of its own, as JSON or YAML; else JSON that the framework reads."""
    headers: Mapping[str, str]


def originals(layout_id: str, resin_id: str) -> tuple[Original, ...]:
    """One of each kind, with the ids of a layout and a resin that are there."""
    cases = [_written("POST", "/v1/layouts", _case(name)) for name in demo_case_names()]
    return (
        *cases,
        _written("PUT", f"/v1/layouts/{layout_id}", cases[0].data, {"If-Match": "*"}),
        _written("POST", "/v1/resins", _RESIN),
        _written("PUT", f"/v1/resins/{resin_id}", _RESIN, {"If-Match": "*"}),
        _request("/v1/plans", {"layout_id": layout_id, "layout_revision": 1, "changes": _CHANGES}),
        _request("/v1/plans", {"layout_id": layout_id, "resin_id": resin_id, "resin_revision": 1, "batch": "B-9"}),
        _request("/v1/checks", {"layout_id": layout_id, "sequence": _SEQUENCE}),
        _request("/v1/revalidations", {"change": _CHANGE, "plans": {"name": "nothing"}, "plan_again": "never"}),
        _request("/v1/revalidations", {"change": {"resin_id": resin_id, "batch": "B-9"}, "plans": {"name": "nothing"}}),
        _request("/v1/webhooks", {"url": "https://planning.invalid/told", "events": ["job.failed"]}),
        _request("/v1/keys", {"name": "malformed", "scopes": ["read"], "days": 1}),
    )


def resin_sheet() -> dict[str, Any]:
    """A right one."""
    return _RESIN


def _case(name: str) -> dict[str, Any]:
    data: dict[str, Any] = yaml.load(demo_case_path(name).read_bytes(), yaml.CSafeLoader)
    return data


def _written(method: str, path: str, data: Mapping[str, Any], headers: Mapping[str, str] | None = None) -> Original:
    return Original(method=method, path=path, data=data, is_text=True, headers=headers or {})


def _request(path: str, data: Mapping[str, Any]) -> Original:
    return Original(method="POST", path=path, data=data, is_text=False, headers={})
