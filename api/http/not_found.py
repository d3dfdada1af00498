"""A row that was asked for by its address."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row

from api.http.problem import Problem
from api.http.problem_kinds import NOT_FOUND


def found(row: Row[Any] | None) -> Row[Any]:
    if row is None:
        raise Problem(NOT_FOUND, "The store holds nothing under this address.")
    return row
