"""Which file system a path lies on, as Linux tells it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

MOUNTS = Path("/proc/mounts")
_ESCAPED = re.compile(r"\\([0-7]{3})")


@dataclass(frozen=True, kw_only=True)
class Mount:
    at: Path
    kind: str
    """As the kernel names it: ext4, nfs4 ..."""


def mount_of(path: Path, mounts: Path = MOUNTS) -> Mount | None:
    """The innermost mount that holds the path, which need not exist; of several on one place the last."""
    try:
        lines = mounts.read_text().splitlines()
    except OSError:
        return None
    place = path.resolve()
    holding = [mount for mount in map(_read, lines) if place.is_relative_to(mount.at)]
    return max(enumerate(holding), key=lambda each: (len(each[1].at.parts), each[0]), default=(0, None))[1]


def _read(line: str) -> Mount:
    """Spaces and the like stand as octal numbers: fstab(5), proc(5)."""
    _, at, kind, *_ = line.split(" ")
    return Mount(at=Path(_ESCAPED.sub(lambda found: chr(int(found[1], 8)), at)), kind=kind)
