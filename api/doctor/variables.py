"""Variables of the environment that look like settings and are none."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from api.doctor.finding import Finding, ok, trouble, warning
from api.settings import Settings
from optimiser.errors import Fault

_PREFIX = "TAPCALL_"


def variables(environment: Mapping[str, str]) -> Finding:
    """Names only: a value may be a password."""
    what = "environment"
    known = [f"{_PREFIX}{field.upper()}" for field in Settings.model_fields]
    given = sorted(name for name in environment if name.upper().startswith(_PREFIX))
    unknown = [name for name in given if name.upper() not in known]
    if not unknown:
        return ok(what, f"{len(given)} settings: {', '.join(given)}" if given else "no settings, all as delivered")
    said = [f"{name} is no setting{_nearest(name, known)}" for name in unknown]
    return warning(what, "; ".join(said), "correct the name, or take it out: it is not heeded")


def unusable(fault: Fault) -> Finding:
    """A setting with a value that no command takes."""
    found = "its value cannot be used" if "URL" in fault.path else f"{fault.found} cannot be used"
    return trouble(fault.path, f"{found}: {fault.expected}", "correct the value")


def _nearest(name: str, known: list[str]) -> str:
    near = get_close_matches(name.upper(), known, n=1, cutoff=0.75)
    return f", {near[0]} is" if near else ""
