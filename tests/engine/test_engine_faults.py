"""What goes wrong with an engine is said in a few seconds and in our words; what goes wrong with the work, as it is."""

from __future__ import annotations

import operator
import os
import socket
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from threading import Timer
from typing import Any

import pytest

from api.engine import cluster as cluster_module
from api.engine import dask_runs
from api.engine.cluster import connect
from api.engine.dask_runs import DaskRuns
from api.engine.engine_error import EngineUnreachableError, SoftwareDiffersError, WorkerKilledError
from api.engine.executor import run_all, task_executor
from api.engine.software import software_here
from optimiser.errors import NotConvergedError
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.run_carrier import Scene, Task
from optimiser.filling.simulate import FillLimits
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Crew


@pytest.fixture
def runs(cluster: Any) -> Iterator[DaskRuns]:
    carrier = DaskRuns(cluster.address)
    yield carrier
    carrier.close()


@pytest.fixture
def silent_port() -> Iterator[int]:
    """Somebody listens there and never says a word."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield int(listener.getsockname()[1])


def answer_then_end(mark: Path, after_s: float) -> str:
    """Once, its process ends a moment after it answered: perhaps before anybody fetched the answer."""
    try:
        mark.touch(exist_ok=False)
    except FileExistsError:
        return "answered again"
    Timer(after_s, os._exit, [1]).start()
    return "answered"


def scene(mould: Any, *, tap_factor: float = 1.0) -> Scene:
    line, vent = mould.feed_line("1", (0.3, 0.0), (0.3, 0.5)), mould.vent("V", (1.0, 0.0), (1.0, 0.5))
    network = mould.reduce(mould.panel(1.0, 0.5, mould.laminate(), (line,), (vent,)), 0.1)
    conductance_m3 = network.links.conductance_m3.copy()
    conductance_m3[network.tap_links] *= tap_factor
    return Scene(
        network=replace(network, links=replace(network.links, conductance_m3=conductance_m3)),
        drive=Drive(supply_pressure_pa=9e4, most_flow_m3_s=None, resin_density_kg_m3=1100.0),
        clock=FluidityClock.of_constant_viscosity(0.25),
        crew=Crew(hands=1, action_s=0.0),
    )


def task(mould: Any) -> Task:
    limits = FillLimits(longest_s=1e6, smallest_lock_m2=1e-3)
    return Task(scene=0, sequence=Sequence(steps=mould.open_at_start("1")), limits=limits)


class Poison:
    """In place of a task: who unpickles it ends."""

    scene = 0

    def __reduce__(self) -> tuple[Callable[[int], None], tuple[int]]:
        return os._exit, (3,)


@pytest.mark.parametrize("where", ["tcp://127.0.0.1:1", "tcp://127.0.0.1:{silent}", "tcp://127.0.0.1", "http://a:1"])
def test_without_a_scheduler_the_error_says_where_in_seconds(
    where: str, silent_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused, silent, without a port, of a wrong kind: waited for as long as is allowed, and no thread left behind."""
    monkeypatch.setattr(cluster_module, "_ANSWERS_WITHIN_S", 0.5)
    address = where.format(silent=silent_port)
    began_s = time.monotonic()
    with pytest.raises(EngineUnreachableError, match=f"no dask scheduler answers at {address}"):
        connect(address)
    assert time.monotonic() - began_s < 5.0


def test_what_answers_must_be_a_scheduler(cluster: Any) -> None:
    """The address of a worker is an easy slip."""
    worker = cluster.addresses_of_workers()[0]
    with pytest.raises(EngineUnreachableError, match="what answers is a worker"):
        connect(worker)


def test_scheduler_without_workers_is_said_and_one_that_dies_too(
    start_scheduler: Callable[[], Any], start_dask: Callable[..., Any]
) -> None:
    """First it has no worker; then, killed with a call under way, it ends that call, and the executor ends cleanly."""
    scheduler = start_scheduler()
    with pytest.raises(EngineUnreachableError, match="has no worker"):
        connect(scheduler.address, worker_within_s=0.1)
    start_dask("worker", scheduler.address, "--no-nanny", "--nthreads", "1", "--memory-limit", "0")
    with task_executor(scheduler.address, 1) as executor:
        under_way = executor.submit(time.sleep, 60.0)
        scheduler.process.kill()
        with pytest.raises(EngineUnreachableError, match="was lost"):
            under_way.result(timeout=20.0)


def test_run_that_does_not_converge_says_so_from_the_cluster(mould: Any, runs: DaskRuns) -> None:
    """A tap a million million times too open: step, residual and remedy are those of the run."""
    with pytest.raises(NotConvergedError) as raised:
        list(runs.carry((scene(mould, tap_factor=1e12),), [task(mould)] * 3))
    assert raised.value.residual > 1e-9
    assert "conductances" in str(raised.value)
    assert len(list(runs.carry((scene(mould),), [task(mould)]))) == 1


def test_run_that_ends_its_workers_is_given_up(mould: Any, runs: DaskRuns) -> None:
    """The engine tries it on others first; the carrier is of use afterwards."""
    with pytest.raises(WorkerKilledError):
        list(runs.carry((scene(mould),), [Poison()]))  # type: ignore[list-item]
    assert len(list(runs.carry((scene(mould),), [task(mould)]))) == 1


def test_worker_with_other_software_does_not_compute(
    mould: Any, runs: DaskRuns, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It names what differs: digits may hang on it."""
    asked_with = tuple((name, "0.1" if name == "scipy" else found) for name, found in software_here())
    monkeypatch.setattr(dask_runs, "software_here", lambda: asked_with)
    with pytest.raises(SoftwareDiffersError, match=r"scipy \S+ here and 0\.1 with who asks\."):
        list(runs.carry((scene(mould),), [task(mould)]))


def test_an_answer_lost_with_its_worker_is_asked_for_again(cluster: Any, tmp_path: Path) -> None:
    """Whether it was fetched, or only reported, when its process ended."""
    with task_executor(cluster.address, 1) as executor:
        for number in range(8):
            call = partial(answer_then_end, tmp_path / str(number), 0.0008 * number)
            ((_, found),) = run_all(executor, operator.call, [call])
            assert found in {"answered", "answered again"}
