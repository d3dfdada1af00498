"""Every operation met with what its page allows and with what it does not, by schemathesis.

A general-purpose library that derives requests from the OpenAPI page: examples, the edges of every schema, and random
ones from a fixed seed. `schemathesis.toml` has its settings and the command for a longer run.
"""

from __future__ import annotations

import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[3]
LEAST_CASES = 800
"""Far fewer would mean that something was left out."""


@pytest.fixture
def filled_service(
    service: Any,
    tiny_job: dict[str, Any],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    start_service: Callable[[], Any],
) -> Any:
    """A service of its own on a copy of the store with a planned layout; no jobs are worked on."""
    assert tiny_job["done"]
    (tmp_path / "data").mkdir()
    with (
        closing(sqlite3.connect(service.data / "tapcall.sqlite3")) as source,
        closing(sqlite3.connect(tmp_path / "data" / "tapcall.sqlite3")) as copy,
    ):
        source.backup(copy)
    monkeypatch.setenv("TAPCALL_JOB_PROCESSES", "0")
    return start_service()


def test_no_request_upsets_the_service(filled_service: Any, tiny_job: dict[str, Any]) -> None:
    """No 5xx, nothing undeclared, every answer as its schema says, keys asked for, methods refused, within 5 s."""
    client = filled_service.client
    run = client.post("/v1/revalidations", json={"change": {"mould_temperature_c": 22}}).json()
    key = client.headers["authorization"].removeprefix("Bearer ")
    there = {
        "TAPCALL_LAYOUT_ID": tiny_job["layout_id"],
        "TAPCALL_PLAN_ID": tiny_job["result"]["plan_id"],
        "TAPCALL_JOB_ID": tiny_job["id"],
        "TAPCALL_REVALIDATION_ID": run["id"],
        "TAPCALL_KEY_ID": key.split("_")[1],
    }
    options = ["--config-file", "tests/api/schemathesis.toml", "--no-color"]
    done = subprocess.run(
        [sys.executable, "-m", "schemathesis.cli", *options, "run", f"{client.base_url}/openapi.json",
         "-H", f"Authorization: Bearer {key}", "--max-examples", "3"],
        cwd=ROOT, env={**os.environ, **there}, capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-20_000:] + done.stderr
    tested, cases = re.search(r"Tested: (\d+)", done.stdout), re.search(r"([\d,]+) generated", done.stdout)
    assert tested is not None
    assert cases is not None
    assert int(tested[1]) == sum(len(item) for item in client.get("/openapi.json").json()["paths"].values())
    assert int(cases[1].replace(",", "")) > LEAST_CASES
