"""Room on the disk of the embedded store."""

from __future__ import annotations

import shutil
from pathlib import Path

from api.doctor.amounts import size
from api.doctor.finding import Finding, ok, trouble, warning

_NEARLY_FULL_BYTES = 200e6
_LITTLE_BYTES = 2e9


def free_disk(data: Path) -> Finding:
    """Bringing the store to a later version, and a backup beside it, each take as much again as the store."""
    what = "free disk"
    place = next(one for one in (data.absolute(), *data.absolute().parents) if one.exists())
    free = shutil.disk_usage(place).free
    store = sum(path.stat().st_size for path in data.glob("tapcall.sqlite3*"))
    said = f"{size(free)} free, the store takes {size(store)}"
    remedy = "make room, or move the data folder to a larger disk"
    if free < _NEARLY_FULL_BYTES:
        return trouble(what, f"{said}: nothing can be taken in once it is full", remedy)
    if free < max(_LITTLE_BYTES, 2 * store):
        return warning(what, said, remedy)
    return ok(what, said)
