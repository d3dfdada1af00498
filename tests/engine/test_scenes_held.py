"""How many scenes a carrier keeps on a cluster: a plan with variations of the day has hundreds."""

from __future__ import annotations

from typing import Any

from api.engine import dask_runs
from api.engine.dask_runs import DaskRuns


class Client:
    """Counts what is handed in."""

    def __init__(self) -> None:
        self.submitted: list[str] = []

    def submit(self, function: Any, scene: bytes, *, key: str) -> str:
        assert function is dask_runs.hold
        assert scene
        self.submitted.append(key)
        return key


def test_the_latest_scenes_are_kept_and_older_ones_let_go() -> None:
    """A scene that is still there is not sent again; one that was let go is."""
    runs, client = DaskRuns("nowhere"), Client()
    scenes: list[Any] = list(range(dask_runs._MOST_HELD + 1))
    keys: list[Any] = [runs._hold(client, scene) for scene in scenes]  # type: ignore[arg-type]
    assert len(runs._held) == dask_runs._MOST_HELD
    runs._hold(client, scenes[-1])  # type: ignore[arg-type]
    assert client.submitted == keys
    runs._hold(client, scenes[0])  # type: ignore[arg-type]
    assert client.submitted == [*keys, keys[0]]
