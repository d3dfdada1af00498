"""Addresses of what belongs to a plan."""

from __future__ import annotations


def plan_links(plan_id: str) -> dict[str, str]:
    plan = f"/v1/plans/{plan_id}"
    return {
        "plan": plan,
        "run_sheet": f"{plan}/run-sheet",
        "run_sheet_pdf": f"{plan}/run-sheet.pdf",
        "map": f"{plan}/map.svg",
        "tap_labels": f"{plan}/tap-labels.pdf",
    }
