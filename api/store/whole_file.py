"""A file that is there whole or not at all, also after a power cut, and that only we may read."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory


@contextmanager
def whole_file(target: Path, *, replace: bool) -> Iterator[Path]:
    """A path to write to that becomes `target` when the block ends well.

    It lies in a folder of its own beside the target, so that one rename is enough.
    `replace=False` raises FileExistsError where there is a target by then, however short a time.
    """
    with TemporaryDirectory(dir=target.parent, prefix=f".{target.name}-") as folder:
        part = Path(folder) / target.name
        yield part
        part.chmod(0o600)
        _sync(part)
        if replace:
            part.replace(target)
        else:
            os.link(part, target)
        _sync(target.parent)


def _sync(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
