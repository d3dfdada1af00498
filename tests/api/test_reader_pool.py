"""The processes that read: ended at their limits, and replaced when they cannot be used any more."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from api.readers.pool import BeyondLimitsError, NoReaderError, ReaderPool


def pid_here() -> int:
    return os.getpid()


def die(until: Path) -> int:
    """Ends its process, until a file is there that says how often that was."""
    if until.exists():
        return os.getpid()
    until.touch()
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError("still here")


def always_die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.fixture
def readers() -> Iterator[ReaderPool]:
    pool = ReaderPool(processes=1, limit_s=1.0, memory_mb=2_000)
    yield pool
    pool.close()


def is_gone(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (FileNotFoundError, ProcessLookupError):
        return True


def test_a_reader_killed_while_idle_is_replaced(readers: ReaderPool, wait_for: Callable[..., Any]) -> None:
    """The pool of the library is dead for good then; whoever asks next does not notice."""
    for _ in range(2):
        pid = readers.run(pid_here)
        os.kill(pid, signal.SIGKILL)
        wait_for(lambda killed=pid: is_gone(killed) or None, "the reader to be gone")
        time.sleep(0.3)  # for the library to notice; sooner, the test would only be easier
        assert readers.run(pid_here) != pid


def test_work_whose_process_was_killed_once_is_done_by_another(readers: ReaderPool, tmp_path: Path) -> None:
    """It may have been ended from outside, so nobody is told that the document was at fault."""
    assert readers.run(die, tmp_path / "died") != os.getpid()


def test_work_that_ends_every_process_is_beyond_limits(readers: ReaderPool) -> None:
    """Two of them; then the next work is done as ever."""
    with pytest.raises(BeyondLimitsError, match="its process ended"):
        readers.run(always_die)
    assert readers.run(abs, -7) == 7


def test_work_that_takes_too_long_is_ended(readers: ReaderPool) -> None:
    """At the limit, which is said. For what the store holds already nobody who asks is at fault: 503, not 422."""
    with pytest.raises(BeyondLimitsError, match="longer than 1 s"):
        readers.run(time.sleep, 60.0)
    with pytest.raises(NoReaderError, match="longer than 1 s"):
        readers.run_kept(time.sleep, 60.0)
    assert readers.run(abs, -7) == 7


def test_every_process_is_made_ready_before_its_first_work() -> None:
    """Longer than work may take, which does not count; the one that follows an ended one is as ready."""
    readers = ReaderPool(processes=1, limit_s=0.6, memory_mb=2_000, prepare=get_ready)
    try:
        assert readers.run(os.getenv, "TAPCALL_TEST_READY") == "ready"
        with pytest.raises(BeyondLimitsError):
            readers.run(time.sleep, 60.0)
        assert readers.run(os.getenv, "TAPCALL_TEST_READY") == "ready"
    finally:
        readers.close()


def get_ready() -> None:
    time.sleep(0.8)
    os.environ["TAPCALL_TEST_READY"] = "ready"


def test_a_jump_of_the_clock_ends_no_work(readers: ReaderPool, monkeypatch: pytest.MonkeyPatch) -> None:
    """The library goes by the clock of the wall; an hour ahead is not a limit that was passed."""
    readers.run(pid_here)
    true_time, began_s = time.time, time.monotonic()
    monkeypatch.setattr(time, "time", lambda: true_time() + (3600.0 if time.monotonic() - began_s > 0.2 else 0.0))
    assert readers.run(divmod, *readers.run(slow_pair)) == (3, 1)


def slow_pair() -> tuple[int, int]:
    time.sleep(0.5)
    return 7, 2


def test_a_closed_pool_says_that_the_work_may_be_asked_again(readers: ReaderPool) -> None:
    """Not that the document was at fault: status 503 with Retry-After."""
    readers.run(abs, -7)
    readers.close()
    with pytest.raises(NoReaderError, match="stopped"):
        readers.run(abs, -7)
