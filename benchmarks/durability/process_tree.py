"""Processes of this machine, as Linux tells of them (proc(5))."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path


def below(pid: int) -> set[int]:
    """The processes that this one has started, and theirs."""
    found = _children(pid)
    return found.union(*map(below, found))


def spawned_by(pid: int) -> list[int]:
    """Processes that this one has spawned itself, through Python's multiprocessing."""
    return sorted(child for child in _children(pid) if b"spawn_main" in _command(child))


def forked_for(pid: int) -> list[int]:
    """Processes that were forked for this one, from the process that holds its imports."""
    holding = [child for child in _children(pid) if b"forkserver" in _command(child)]
    return sorted(set[int]().union(*map(_children, holding)))


def _children(pid: int) -> set[int]:
    found: set[int] = set()
    for file in Path(f"/proc/{pid}/task").glob("*/children"):
        with suppress(OSError):
            found |= {int(child) for child in file.read_text().split()}
    return found


def _command(pid: int) -> bytes:
    with suppress(OSError):
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    return b""


def is_gone(pid: int) -> bool:
    """No such process, or one that is dead and only waits to be collected (state Z)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (FileNotFoundError, ProcessLookupError):
        return True
