"""A plan is the same to the byte, whoever carries its runs and whatever happens to them on the way."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from api.engine.dask_runs import DaskRuns
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import Case, read_case
from optimiser.filling import many_runs
from optimiser.plan.result import Progress
from optimiser.sequencing.by_hand import all_at_once

TINY = Path(__file__).parents[1] / "api" / "tiny_case.yaml"


@pytest.fixture
def carrier(cluster: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[DaskRuns]:
    """Carries also what is too small to be worth it."""
    monkeypatch.setattr(many_runs, "_WORTH_CARRYING", 0)
    runs = DaskRuns(cluster.address)
    yield runs
    runs.close()


def tiny() -> Case:
    return read_case(TINY.read_bytes())


@pytest.fixture(scope="module")
def alone() -> str:
    """Planned by one process."""
    return plan_case(tiny(), workers=1).model_dump_json()


def test_one_process_two_and_a_cluster_write_the_same_bytes(carrier: DaskRuns, alone: str) -> None:
    """The whole plan document, effort counted too: no run is counted twice or left out."""
    assert plan_case(tiny(), workers=2).model_dump_json() == alone
    assert plan_case(tiny(), carrier=carrier).model_dump_json() == alone


def test_a_checked_sequence_is_the_same_from_the_cluster(carrier: DaskRuns) -> None:
    """Nothing chosen, only played."""
    case = tiny()
    sequence = all_at_once(case.shot.part).sequence
    here = check_sequence_of_case(case, sequence, workers=1)
    assert check_sequence_of_case(case, sequence, carrier=carrier).model_dump_json() == here.model_dump_json()


def test_workers_killed_amid_the_runs_of_a_plan_change_nothing(
    cluster: Any, carrier: DaskRuns, alone: str
) -> None:
    """Every worker gets SIGKILL with runs under way, and takes along all scenes and results that it held."""
    told = list[float]()

    def kill_once(progress: Progress) -> None:
        told.append(progress.fraction)
        if told[-1] > 0.3 > told[-2]:
            cluster.kill_workers()

    plan = plan_case(tiny(), carrier=carrier, progress=kill_once)
    assert max(told) > 0.3
    assert plan.model_dump_json() == alone
