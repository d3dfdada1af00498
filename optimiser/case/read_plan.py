"""From a file or bytes to a plan; whatever else it is, is said."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from optimiser.case.plan_document import PlanDocument
from optimiser.case.read_text import read_data
from optimiser.case.say_found import say_found
from optimiser.case.shape_faults import validated
from optimiser.errors import Fault, InputError

_PLAN: Final = "a plan.json, as `tapcall plan --out` writes it"
_OTHERS: Final = {
    "feed_lines": ("a case", "plan it first: tapcall plan"),
    "steps": ("a sequence", "check it first, and take the plan.json of that: tapcall check"),
    "cells": ("a sweep", ""),
    "plan_a": ("a comparison", ""),
}
"""By a key that only this kind of document has."""


def read_plan(source: Path | bytes, *, named: str) -> PlanDocument:
    """InputError with every fault, each under the name that the caller has for this document."""
    try:
        data = read_data(source)
        if not isinstance(data, Mapping) or "verdict" not in data:
            raise InputError([_no_plan(data)])
        return validated(PlanDocument, data)
    except InputError as error:
        raise InputError(
            Fault(path=f"{named}{fault.path}", found=fault.found, expected=fault.expected, remedy=fault.remedy)
            for fault in error.faults
        ) from error


def _no_plan(data: object) -> Fault:
    if isinstance(data, Mapping):
        for key, (found, remedy) in _OTHERS.items():
            if key in data:
                return Fault(path="", found=found, expected=_PLAN, remedy=remedy)
        return Fault(path="", found="a document without a verdict", expected=_PLAN)
    return Fault(path="", found=say_found(data), expected=_PLAN)
