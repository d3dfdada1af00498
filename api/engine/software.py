"""What the digits of a result depend on: this code, and the libraries that calculate."""

from __future__ import annotations

import platform
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

import optimiser

_CALCULATING = ("networkx", "numpy", "ortools", "qdldl", "scipy", "shapely", "trimesh")

Software = tuple[tuple[str, str], ...]


@cache
def software_here() -> Software:
    """Names and versions; of this code also a digest, for two checkouts may bear one version."""
    own = f"{optimiser.__version__} ({_digest_of_code()})"
    python = ".".join(platform.python_version_tuple()[:2])
    return (("tapcall", own), ("python", python), *((name, version(name)) for name in _CALCULATING))


def differences(here: Software, there: Software) -> str:
    """What stands in both but differs, in words; empty if nothing does."""
    other = dict(there)
    return ", ".join(
        f"{name} {found} here and {other.get(name, 'missing')} with who asks"
        for name, found in here
        if other.get(name) != found
    )


def _digest_of_code() -> str:
    folder = Path(optimiser.__file__).parent
    digest = sha256()
    for path in sorted(folder.rglob("*.py")):
        digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:12]
