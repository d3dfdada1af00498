"""The plan that is compared with itself, one thing changed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

PLAN = Path(__file__).parents[1] / "golden" / "documents" / "plan_1.json"


@pytest.fixture
def data() -> dict[str, Any]:
    """Its steps numbered as they stand."""
    found: dict[str, Any] = json.loads(PLAN.read_bytes())
    for order, step in enumerate(found["steps"], start=1):
        step["order"] = order
    return found
