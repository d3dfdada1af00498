"""Many runs at once: same answers from one process and from several; none outlives its parent."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import Generator
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from optimiser.filling import many_runs
from optimiser.filling.fill_run import FillRun, History
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.many_runs import Runner, Scene, Task, run_scene
from optimiser.filling.simulate import FillLimits
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Crew


def scene(mould: Any, cell_m: float) -> Scene:
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 0.5)) for k, x_m in enumerate((0.3, 1.0, 1.7)))
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 0.5)), mould.vent("W", (2.0, 0.0), (2.0, 0.5)))
    return Scene(
        network=mould.reduce(mould.panel(2.0, 0.5, mould.laminate(), lines, vents), cell_m),
        drive=Drive(supply_pressure_pa=9e4, most_flow_m3_s=None, resin_density_kg_m3=1100.0),
        clock=FluidityClock.of_constant_viscosity(0.25),
        crew=Crew(hands=1, action_s=10.0),
    )


def tasks(mould: Any) -> list[Task]:
    """Six tasks that differ in scene and in the line they start from."""
    limits = FillLimits(longest_s=1e6, smallest_lock_m2=1e-3)
    made = []
    for number in range(6):
        first = "012"[number % 3]
        rest = [mould.open_on_reach(label) for label in "012" if label != first]
        steps = Sequence(steps=(*mould.open_at_start(first), *rest))
        made.append(Task(scene=number % 2, sequence=steps, limits=limits))
    return made


def same(one: FillRun, other: FillRun) -> bool:
    """Equal to the last bit in every field."""
    for field in fields(FillRun):
        a, b = getattr(one, field.name), getattr(other, field.name)
        if isinstance(a, History):
            if not all(np.array_equal(getattr(a, f.name), getattr(b, f.name)) for f in fields(History)):
                return False
        elif isinstance(a, np.ndarray):
            if not np.array_equal(a, b):
                return False
        elif field.name == "locks":
            if [(lock.at_s, lock.area_m2) for lock in a] != [(lock.at_s, lock.area_m2) for lock in b]:
                return False
        elif a != b:
            return False
    return True


@pytest.mark.parametrize("workers", [1, 2])
def test_one_scene_in_two_places_is_played_once(mould: Any, monkeypatch: pytest.MonkeyPatch, workers: int) -> None:
    """Six tasks, three starts asked for in two places that hold one scene: three runs, and the answers of two scenes;
    asked again, none. Of two equal scenes that are not one each is played."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)
    one, wanted = scene(mould, 0.1), tasks(mould)
    told: list[int] = []
    with Runner((one, one), workers=workers) as shared, Runner((one, scene(mould, 0.1)), workers=1) as apart:
        found, expected = shared.run(wanted, each=told.append), apart.run(wanted)
        assert (shared.runs, apart.runs) == (3, 6)
        again = shared.run(wanted)
        assert shared.runs == 3
    assert told == [1, 2, 3, 4, 5, 6]
    assert all(same(a, b) and same(b, c) for a, b, c in zip(found, expected, again, strict=True))


def test_two_workers_give_bit_for_bit_what_one_gives_in_the_order_asked_for(
    mould: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tasks on two scenes; each result is also that of its own scene and sequence run alone."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)
    scenes, wanted = (scene(mould, 0.1), scene(mould, 0.07)), tasks(mould)
    told: list[int] = []
    with Runner(scenes, workers=1) as alone, Runner(scenes, workers=2) as together:
        by_one, by_two = alone.run(wanted), together.run(wanted, each=told.append)
        assert (alone.runs, alone.front_steps, alone.solves) == (
            together.runs,
            together.front_steps,
            together.solves,
        )
    assert told == [1, 2, 3, 4, 5, 6]
    for task, one, two in zip(wanted, by_one, by_two, strict=True):
        itself = run_scene(scenes[task.scene], task.sequence, task.limits)
        assert same(one, two)
        assert same(itself, one)
    assert len({run.wet_out_s for run in by_one}) == 6


def test_workers_stay_for_the_next_batch_and_go_with_what_nobody_waits_for(
    mould: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same processes carry two batches; where a batch is given up others are begun for the next."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)

    def workers() -> set[int | None]:
        return {one.pid for one in multiprocessing.active_children()} - before

    before = {one.pid for one in multiprocessing.active_children()}
    scenes, wanted = (scene(mould, 0.1), scene(mould, 0.1)), tasks(mould)
    with Runner(scenes, workers=2) as runner:
        runner.run(wanted)
        first = workers()
        runner.run(wanted[:3])
        assert workers() == first
        assert len(first) == 2
        runner.run(wanted, enough=lambda: True)
        runner.run(wanted[:3])
        assert len(workers() - first) == 2
        last_s = time.monotonic() + 60.0
        while workers() & first and time.monotonic() < last_s:  # they finish what they hold, beside the others
            time.sleep(0.05)
        assert not workers() & first


class CarriesHere:
    """A carrier that counts what it is given."""

    def __init__(self) -> None:
        self.carried: list[int] = []

    def carry(self, scenes: tuple[Scene, ...], tasks: list[Task]) -> Generator[FillRun, None, None]:
        self.carried.append(len(tasks))
        for task in tasks:
            yield run_scene(scenes[task.scene], task.sequence, task.limits)


def test_what_was_played_before_counts_for_whether_carrying_pays(mould: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two tasks each time: the first four stay here, all after them are carried."""
    scenes, wanted, carrier = (scene(mould, 0.1), scene(mould, 0.1)), tasks(mould)[:2], CarriesHere()
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 4 * scenes[0].network.sheet_count)
    with Runner(scenes, carrier=carrier) as runner:
        for _ in range(4):
            runner.run(wanted)
    assert carrier.carried == [2, 2]


PARENT = """
import multiprocessing, pickle, sys, time
from optimiser.filling import many_runs

def tell(done):
    print(*(child.pid for child in multiprocessing.active_children()), flush=True)
    time.sleep(600)

if __name__ == "__main__":
    many_runs._WORTH_CARRYING = 0
    with open(sys.argv[1], "rb") as file:
        scenes, tasks = pickle.load(file)
    with many_runs.Runner(scenes, workers=2) as runner:
        runner.run(tasks, each=tell)
"""


def runs(pid: int) -> bool:
    """Whether the process is there and is not a corpse waiting to be collected."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state not in "ZX"


def test_worker_dies_when_its_parent_is_killed(mould: Any, tmp_path: Path) -> None:
    """Killed with no chance to clean up, the parent leaves no worker behind: gone within ten seconds."""
    script, work = tmp_path / "parent.py", tmp_path / "work.pickle"
    script.write_text(PARENT, encoding="utf-8")
    work.write_bytes(pickle.dumps(((scene(mould, 0.1), scene(mould, 0.07)), tasks(mould))))
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    with subprocess.Popen(
        [sys.executable, str(script), str(work)], stdout=subprocess.PIPE, text=True, env=environment
    ) as parent:
        assert parent.stdout is not None
        workers = [int(pid) for pid in parent.stdout.readline().split()]
        assert workers
        assert all(runs(worker) for worker in workers)
        parent.send_signal(signal.SIGKILL)
        parent.wait()
    until = time.monotonic() + 10.0
    while any(runs(worker) for worker in workers) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(runs(worker) for worker in workers)


UNGUARDED = """
import pickle, sys
from optimiser.filling import many_runs

many_runs._WORTH_CARRYING = 0
with open(sys.argv[1], "rb") as file:
    scenes, tasks = pickle.load(file)
with many_runs.Runner(scenes, workers=2) as runner:
    runner.run(tasks)
"""


def test_program_whose_workers_cannot_start_ends_with_an_error(mould: Any, tmp_path: Path) -> None:
    """It lacks the guard that Python asks for, so that each worker dies as it starts; nobody waits for them.

    The scene is larger than a pipe holds unread (64 kB on Linux, pipe(7)), which is where waiting would set in.
    """
    fine, script, work = scene(mould, 0.02), tmp_path / "program.py", tmp_path / "work.pickle"
    script.write_text(UNGUARDED, encoding="utf-8")
    work.write_bytes(pickle.dumps(((fine, fine), tasks(mould))))
    assert len(pickle.dumps(fine)) > 2 * 65536
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    ran = subprocess.run(
        [sys.executable, str(script), str(work)],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 1
    assert "BrokenProcessPool" in ran.stderr
