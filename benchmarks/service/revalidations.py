"""Stored sequences judged again: by look-up after a gel test, and on the network where nothing less will do."""

from __future__ import annotations

import os
import signal
import time
from collections import Counter
from pathlib import Path
from typing import Any

import yaml
from sqlalchemy import Row, select

from api.engine.executor import run_all, task_executor
from api.readers.work import change_of
from api.revalidation.judge import played
from api.store.tables import revalidation_items
from benchmarks.page import table
from benchmarks.service.copied_plans import Original, keep_copies, original_of
from benchmarks.service.running_service import Service, opened_store, running_service
from cases import demo_case_path
from optimiser.filling.many_runs import usable_cores

_GEL_TEST = {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 74}}
_COLDER = {"mould_temperature_c": 18, "resin_temperature_c": 18}
_MACHINE = {
    "kind": "metering_machine",
    "flow_cap_kg_per_min": 8,
    "pressure_cap_mbar_abs": 950,
    "manifold_height_mm": 0,
}
"""With a flow cap no time goes with viscosity, so each sequence has to be played."""
_LONGEST_WAIT_S = 7200.0
_KILLED = ("settled when the service was killed", "of those done again", "begun twice")
_TINY_CASE = Path(__file__).parents[2] / "tests" / "api" / "tiny_case.yaml"


def looked_up(data: Path, *, number: int) -> str:
    """Half of the plans of a small panel, half of a large one, after a new gel test."""
    store = opened_store(data)
    for case in (_tiny(), yaml.safe_load(demo_case_path("flat_panel").read_text())):
        keep_copies(store, original_of(case), number // 2)
    store.close()
    with running_service(data) as service:
        run, took_s = _run(service, _GEL_TEST)
    return table(
        ("plans", "seconds", "per s", "answers"),
        [(run["asked"], f"{took_s:.1f}", f"{run['asked'] / took_s:.0f}", _said(data, run["id"]))],
    )


def played_again(data: Path, *, number: int) -> str:
    """Plans of a small panel, fed by a machine with a flow cap, after a cold night; then the same once more, killed.

    The last of them the service itself has made, just before: it is up, as it would be on any night.
    """
    case = {**_tiny(), "supply": _MACHINE}
    original = original_of(case)
    alone_s = _alone_s(original, number)
    store = opened_store(data)
    keep_copies(store, original, number - 1)
    store.close()
    with running_service(data) as service:
        _plan(service, case)
        run, took_s = _run(service, _COLDER)
        if run["asked"] != number:
            raise RuntimeError(f"{run['asked']} plans were judged again, not {number}")
    times = (f"{alone_s:.1f}", f"{took_s:.1f}", f"{took_s / alone_s - 1:+.0%}")
    return table(
        ("plans", "answers", "network runs alone, s", "the whole run, s", "more", *_KILLED),
        [(number, _said(data, run["id"]), *times, *_killed_and_gone_on_with(data))],
    )


def _tiny() -> dict[str, Any]:
    return dict(yaml.safe_load(_TINY_CASE.read_text()))


def _alone_s(original: Original, number: int) -> float:
    """The same network runs by processes on all cores, their start too, without a store or a service."""
    change, _ = change_of(_COLDER, resin=None, batch=None)
    work = (original.source, original.facts, change)
    began_s = time.perf_counter()
    with task_executor(None, usable_cores()) as executor:
        for _, outcome in run_all(executor, _play, [work] * number):
            if isinstance(outcome, Exception):
                raise outcome
        return time.perf_counter() - began_s


def _play(work: tuple[bytes, str, str]) -> object:
    return played(*work)


def _plan(service: Service, case: dict[str, Any]) -> None:
    layout = service.ask("/v1/layouts", {**case, "name": "The one planned here"})
    job = service.ask("/v1/plans", {"layout_id": layout["id"]})["links"]["self"]
    while not service.ask(job)["done"]:
        time.sleep(0.1)


def _run(service: Service, change: dict[str, Any]) -> tuple[dict[str, Any], float]:
    """A revalidation from the asking to its end, and how long that took."""
    began_s = time.perf_counter()
    run = service.ask("/v1/revalidations", {"change": change})
    return _ended(service, run["id"]), time.perf_counter() - began_s


def _ended(service: Service, run_id: str) -> dict[str, Any]:
    ends_s = time.perf_counter() + _LONGEST_WAIT_S
    while time.perf_counter() < ends_s:
        run = service.ask(f"/v1/revalidations/{run_id}")
        if run["state"] != "running":
            return run
        time.sleep(0.2)
    raise RuntimeError(f"{run_id} did not come to its end")


def _killed_and_gone_on_with(data: Path) -> tuple[int, int, int]:
    """kill -9 when half of the items are settled, then a new service on the same store."""
    with running_service(data) as service:
        run_id = service.ask("/v1/revalidations", {"change": _COLDER})["id"]
        while (run := service.ask(f"/v1/revalidations/{run_id}"))["answered"] < run["asked"] // 2:
            time.sleep(0.2)
        os.kill(service.process_id, signal.SIGKILL)
        time.sleep(1.0)  # its processes end with it
        before = {item.number: item for item in _items(data, run_id) if item.state != "open"}
    with running_service(data) as service:
        run = _ended(service, run_id)
    after = _items(data, run_id)
    if run["state"] != "done" or any(item.state == "open" for item in after):
        raise RuntimeError(f"{run_id} was not gone on with: {run}")
    changed = sum(item != before.get(item.number, item) for item in after)
    return len(before), changed, sum(item.tries > 1 for item in after)


def _items(data: Path, run_id: str) -> list[Row[Any]]:
    store = opened_store(data)
    with store.read() as connection:
        rows = connection.execute(select(revalidation_items).where(revalidation_items.c.run_id == run_id)).all()
    store.close()
    return list(rows)


def _said(data: Path, run_id: str) -> str:
    counts = Counter(f"{item.answer} by {item.decided_by}" for item in _items(data, run_id))
    return ", ".join(f"{count} x {said}" for said, count in sorted(counts.items()))
