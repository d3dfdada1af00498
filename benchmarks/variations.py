"""What played variations of the day cost: `python -m benchmarks.variations`, one sequence of each demo, all cores.

Seconds of the processor stand beside those of the clock, because the machine may have other work.
"""

from __future__ import annotations

import resource
import sys
import time

from benchmarks.machine import machine
from cases import demo_case_path
from optimiser.case.read_case import read_case
from optimiser.filling.many_runs import Runner
from optimiser.plan.play_scatter import ShotOutcome, play_scatter, variations_of
from optimiser.plan.scenes import scenes_of
from optimiser.sequencing.by_hand import bay_by_bay_from

STARTS = {"flat_panel": ("2",), "hull_side": ("3-AFT", "3-MID", "3-FWD")}
"""The sequences that are the plans of these cases: outward bay by bay from these taps."""
COUNTS = (100, 500)


def row(name: str, count: int) -> str:
    shot = read_case(demo_case_path(name), scenarios=count).shot
    assert shot.scatter is not None
    scenes = scenes_of(shot)
    sequence = bay_by_bay_from(shot.part, STARTS[name], name).sequence
    clock_s, processor_s = time.perf_counter(), _processor_s()
    with Runner(scenes.all) as runner:
        variations = variations_of(shot, shot.scatter, scenes)
        played = play_scatter(shot, shot.scatter, scenes, runner, variations, sequence, lambda _: None)
    clock_s, processor_s = time.perf_counter() - clock_s, _processor_s() - processor_s
    clean = sum(one.outcome is ShotOutcome.CLEAN for one in played.values())
    return f"| {name} | {scenes.coarse.cell_count} | {count} | {clean} | {processor_s:.0f} | {clock_s:.0f} |"


def _processor_s() -> float:
    """Of this process and of those that it started and that have ended."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def main() -> None:
    print(machine())
    print("\n| case | coarse cells | variations | clean | processor s | clock s |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for name in sys.argv[1:] or STARTS:
        for count in COUNTS:
            print(row(name, count), flush=True)


if __name__ == "__main__":
    main()
