"""The engine: not there, mute, no engine, or without workers."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from api.doctor.engine_address import engine as engine_finding
from api.doctor.finding import State

OK, WARNING = State.OK, State.WARNING


@pytest.fixture
def cluster() -> Iterator[Any]:
    """A scheduler of dask and one worker, in this process, behind a port of this machine."""
    from distributed import LocalCluster

    small: dict[str, Any] = {"n_workers": 1, "threads_per_worker": 1, "processes": False}
    small["dashboard_address"] = "127.0.0.1:0"  # None would try a port that another may have
    with LocalCluster(protocol="tcp", host="127.0.0.1", **small) as made:
        yield made


def test_an_engine_that_does_not_answer_is_trouble(
    listener: socket.socket, closed_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody there, somebody who is no scheduler, and an address that is none; each wait has an end."""
    monkeypatch.setattr("api.doctor.engine_address._LONGEST_WAIT_S", 0.5)
    assert engine_finding(None).state is OK
    assert "does not answer" in engine_finding(f"tcp://127.0.0.1:{closed_port}").found
    assert "is no scheduler" in engine_finding(f"tcp://127.0.0.1:{listener.getsockname()[1]}").found
    assert engine_finding("somewhere").found == engine_finding("tcp://h:high").found == "TAPCALL_ENGINE is no address"


def test_an_engine_that_answers_is_asked_for_its_workers(cluster: Any, wait_for: Callable[..., Any]) -> None:
    """Their number is told; a scheduler without any would let every run wait."""
    finding = engine_finding(cluster.scheduler_address)
    assert finding.state is OK
    assert finding.found.startswith("workers: 1, behind 127.0.0.1 port ")
    cluster.scale(0)
    wait_for(lambda: None if cluster.scheduler.workers else True, "the worker to be gone")
    assert engine_finding(cluster.scheduler_address).state is WARNING
