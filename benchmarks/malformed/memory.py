"""How much memory a process and its children hold."""

from __future__ import annotations

from pathlib import Path


def resident_mb(process_id: int) -> dict[str, float]:
    """Of the process, and of its children together; as Linux counts pages that are in memory."""
    children = [_resident_mb(child) for child in _children(process_id)]
    return {"server": _resident_mb(process_id), "readers": sum(children)}


def _children(process_id: int) -> list[int]:
    text = " ".join(path.read_text() for path in Path(f"/proc/{process_id}/task").glob("*/children"))
    return [int(word) for word in text.split()]


def _resident_mb(process_id: int) -> float:
    for line in Path(f"/proc/{process_id}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0
