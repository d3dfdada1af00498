"""A bounded share of `python -m benchmarks.durability`, by the same code, on each engine there is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from benchmarks.durability.finding import Finding
from benchmarks.durability.place import Place, engines, new_place


@pytest.fixture(params=engines())
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    with new_place(request.param, tmp_path / "store") as made:
        yield made


@pytest.fixture
def embedded_place(tmp_path: Path) -> Iterator[Place]:
    with new_place("SQLite", tmp_path / "store") as made:
        yield made


@pytest.fixture(scope="session")
def bears() -> Callable[..., Finding]:
    """Does a harm so many times, and expects that nothing is wrong after it."""

    def do(harm: Callable[..., Finding], place: Place, times: int, **how: Any) -> Finding:
        found = harm(place, times, Random(3), **how)
        assert found.wrong == ()
        assert found.times >= times
        return found

    return do
