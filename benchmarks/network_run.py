"""One run of the moving front over the full network of a case, by three orders of opening, on one core.

Run as `python -m benchmarks.network_run`.
"""

from __future__ import annotations

import time
from collections.abc import Iterator

from benchmarks.machine import machine
from benchmarks.page import table
from cases import demo_case_path
from optimiser.case.read_case import read_case
from optimiser.filling.many_runs import run_scene
from optimiser.filling.simulate import FillLimits
from optimiser.one_blas_thread import one_blas_thread
from optimiser.part.shot import Shot
from optimiser.plan.scenes import FULL, Scenes, scenes_of
from optimiser.sequencing.by_hand import Named, all_at_once, bay_by_bay_from, line_groups, on_reach_from

_CASES = ("hull_side", "flat_panel")
_TIMES = 5
"""Each run is repeated this often; the quickest is told, as the rest is what else the machine did."""
_HEADS = (
    *("order", "seconds", "wet-out min", "locked regions", "steps", "pressure systems"),
    "ms per pressure system",
)


def main() -> None:
    print(machine())
    for name in _CASES:
        print()
        print(network_run(name))


@one_blas_thread
def network_run(name: str) -> str:
    """Sizes and times of one case."""
    shot = read_case(demo_case_path(name)).shot
    began = time.perf_counter()
    scenes = scenes_of(shot)
    reducing_s = time.perf_counter() - began
    network = scenes.all[FULL].network
    sizes = (
        f"**{name}**: {network.cell_count} cells of {1000 * network.cell_size_m:.0f} mm, {network.node_count} nodes, "
        f"{len(network.links)} links, {len(network.lines)} taps; all {len(scenes.all)} scenes reduced in "
        f"{reducing_s:.2f} s"
    )
    return f"{sizes}\n\n{table(_HEADS, (_row(scenes, shot, named) for named in _orders(shot)))}"


def _orders(shot: Shot) -> Iterator[Named]:
    groups = line_groups(shot.part)
    middle = list(groups)[len(groups) // 2]
    yield all_at_once(shot.part)
    yield on_reach_from(shot.part, groups[middle], f"on reach from {middle}")
    yield bay_by_bay_from(shot.part, groups[middle], f"bay by bay from {middle}")


def _row(scenes: Scenes, shot: Shot, named: Named) -> tuple[object, ...]:
    limits = FillLimits(longest_s=scenes.gel_time_s, smallest_lock_m2=shot.process.smallest_lock_m2)
    times = []
    for _ in range(_TIMES):
        began = time.perf_counter()
        run = run_scene(scenes.all[FULL], named.sequence, limits)
        times.append(time.perf_counter() - began)
    best = min(times)
    return (
        named.name,
        f"{best:.2f}",
        f"{run.wet_out_s / 60:.1f}",
        sum(lock.fails for lock in run.locks),
        run.front_steps,
        run.solves,
        f"{1000 * best / run.solves:.1f}",
    )


if __name__ == "__main__":
    main()
