"""What was asked for by its address."""

from __future__ import annotations

from typing import TypeVar

from api.http.problem import Problem
from api.http.problem_kinds import NOT_FOUND

T = TypeVar("T")


def found(what: T | None) -> T:
    if what is None:
        raise Problem(NOT_FOUND, "The store holds nothing under this address.")
    return what
