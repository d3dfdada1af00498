"""Are Python and the packages those that this version of the program was made for?"""

from __future__ import annotations

import platform
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

import api
from api.doctor.finding import Finding, ok, trouble, warning

_NAME = "tapcall"


@dataclass(frozen=True, kw_only=True)
class Wanted:
    python: str
    """As in Requires-Python of the core metadata."""
    packages: tuple[str, ...]
    """As in Requires-Dist."""


def wanted() -> Wanted | None:
    """From the installed package, or from the checkout beside it; None where neither says."""
    try:
        said = metadata.metadata(_NAME)
        return Wanted(python=said["Requires-Python"] or "", packages=tuple(metadata.requires(_NAME) or ()))
    except metadata.PackageNotFoundError:
        return _of_checkout(Path(api.__file__).parents[1] / "pyproject.toml")


def python_version(wants: Wanted | None) -> Finding:
    what, here = "Python", platform.python_version()
    if wants is None:
        return _unknown(what, here)
    if here not in SpecifierSet(wants.python, prereleases=True):
        return trouble(what, f"{here}, wanted {wants.python}", "make the environment anew with a Python that is wanted")
    return ok(what, here)


def packages(wants: Wanted | None, installed: Callable[[str], str] = metadata.version) -> Finding:
    what = "packages"
    if wants is None:
        return _unknown(what, "not compared")
    wrong, right = [], 0
    for needed in map(Requirement, wants.packages):
        is_needed = needed.marker is None or needed.marker.evaluate({"extra": ""})
        try:
            here = installed(needed.name)
        except metadata.PackageNotFoundError:
            wrong += [f"{needed.name} is missing"] if is_needed else []
            continue
        if not needed.specifier.contains(here, prereleases=True):
            wrong.append(f"{needed.name} {here}, wanted {needed.specifier}")
        else:
            right += 1
    if wrong:
        return trouble(what, "; ".join(wrong), "install the packages as the lock names them: requirements.lock")
    return ok(what, f"{right} as wanted")


def _of_checkout(file: Path) -> Wanted | None:
    if not file.is_file():
        return None
    project = tomllib.loads(file.read_text())["project"]
    optional = [one for group in project.get("optional-dependencies", {}).values() for one in group]
    of_groups = [f"{one.partition(';')[0].strip()} ; extra == 'any'" for one in optional]
    return Wanted(python=project["requires-python"], packages=(*project["dependencies"], *of_groups))


def _unknown(what: str, found: str) -> Finding:
    return warning(
        what, f"{found}; this program does not know what it needs", f"install {_NAME} as a package: pip install ."
    )
