"""What engines start, import and say: no more than is wanted, and nothing that stays behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import optimiser

ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(optimiser.__file__).parents[1])}

PARENT = """
import os, time
from api.engine.executor import task_executor

if __name__ == "__main__":
    with task_executor(None, 2) as executor:
        print(*{one.result() for one in [executor.submit(os.getpid) for _ in range(9)]}, flush=True)
        time.sleep(600)
"""

QUIET = """
import sys
import api.engine.dask_runs, api.engine.executor
assert not {"dask", "distributed", "tornado"} & set(sys.modules), "imported before it is wanted"
with api.engine.executor.task_executor(sys.argv[1], 1) as executor:
    assert executor.submit(abs, -3).result() == 3
    try:
        executor.submit(int, "x").result()
    except ValueError:
        print("done")
"""


def runs(pid: int) -> bool:
    """Whether the process is there and is not a corpse waiting to be collected."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state not in "ZX"


def test_local_workers_die_when_their_parent_is_killed(tmp_path: Path) -> None:
    """Killed with no chance to clean up, the parent leaves no worker behind: gone within ten seconds."""
    script = tmp_path / "parent.py"
    script.write_text(PARENT, encoding="utf-8")
    with subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True, env=ENVIRONMENT) as parent:
        assert parent.stdout is not None
        workers = [int(pid) for pid in parent.stdout.readline().split()]
        assert workers
        assert all(runs(worker) for worker in workers)
        parent.send_signal(signal.SIGKILL)
    until = time.monotonic() + 10.0
    while any(runs(worker) for worker in workers) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(runs(worker) for worker in workers)


def test_the_cluster_is_imported_when_wanted_and_says_nothing(cluster: Any) -> None:
    """A call that fails there leaves no line on stderr here, nor does the end of the connection."""
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", QUIET, cluster.address],
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "done\n", "")
