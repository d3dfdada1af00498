"""Many calls, on processes of this machine and on a cluster: same answers, and only what kills is blamed."""

from __future__ import annotations

import operator
import os
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from api.engine.calls import CallExecutor
from api.engine.engine_error import WorkerKilledError
from api.engine.executor import run_all, task_executor
from optimiser.case.read_case import read_case
from optimiser.errors import InputError
from optimiser.physics.gel_clock import gel_time_between_points_s

ENGINES = ("processes", "cluster")


@pytest.fixture(scope="module", params=ENGINES)
def executor(request: pytest.FixtureRequest) -> Iterator[CallExecutor]:
    """One of each kind for all tests, so that each test also shows that the last one left it of use."""
    engine = request.getfixturevalue("cluster").address if request.param == "cluster" else None
    with task_executor(engine, 2) as made:
        yield made


def outcomes(executor: CallExecutor, calls: list[Callable[[], Any]]) -> list[Any]:
    """In the order of the calls."""
    return [outcome for _, outcome in sorted(run_all(executor, operator.call, calls), key=lambda pair: pair[0])]


def test_every_call_is_answered_once_with_its_number(executor: CallExecutor) -> None:
    """More calls than are handed in at a time, in whatever order they are done."""
    pairs = list(run_all(executor, abs, range(-20, 0)))
    assert sorted(pairs) == [(number, 20 - number) for number in range(20)]


def test_a_call_that_fails_gives_its_error_and_the_others_their_results(executor: CallExecutor) -> None:
    """Errors of any kind stand beside results."""
    first, failed, last = outcomes(executor, [partial(pow, 2, 5), partial(pow, 0, -1), partial(pow, 3, 2)])
    assert (first, last) == (32, 9)
    assert isinstance(failed, ZeroDivisionError)


def test_errors_of_ours_come_through_with_all_they_say(executor: CallExecutor) -> None:
    """Raised in another process, they read as if raised in this one; also one far longer than an engine would keep."""
    long = b"schema_version: 1\n" + b"".join(b"unknown_field_%d: 1\n" % number for number in range(2000))
    with pytest.raises(InputError) as here:
        read_case(long)
    found, out_of_range = outcomes(
        executor,
        [
            partial(read_case, long),
            partial(gel_time_between_points_s, (), temperature_k=290.0, initiator_fraction=0.01),
        ],
    )
    assert type(found) is InputError
    assert found.faults == here.value.faults
    assert str(found) == str(here.value)
    assert str(out_of_range) == "the gel time has no measured point"


def test_only_the_call_that_kills_its_worker_is_blamed(executor: CallExecutor) -> None:
    """It ends its process, each time it is tried; those beside it are done all the same, and so are later ones."""
    calls: list[Callable[[], Any]] = [partial(pow, 2, number) for number in range(8)]
    calls[3] = partial(os._exit, 3)
    found = outcomes(executor, calls)
    assert isinstance(found.pop(3), WorkerKilledError)
    assert found == [1, 2, 4, 16, 32, 64, 128]
    assert executor.submit(abs, -1).result() == 1


def test_workers_keep_dense_algebra_to_one_thread(executor: CallExecutor) -> None:
    """As the process that asks does, for the last digits of a product depend on it."""
    executor.submit(np.zeros, 3).result()
    found = executor.submit(threadpool_info).result()
    threads = [one["num_threads"] for one in found if one["user_api"] == "blas"]
    assert threads
    assert set(threads) == {1}
