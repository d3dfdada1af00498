"""Network runs carried by the workers of a dask cluster."""

from __future__ import annotations

import pickle
from collections import deque
from collections.abc import Generator
from contextlib import suppress
from typing import TYPE_CHECKING

from api.engine.cluster import connect, disconnect, engine_errors
from api.engine.engine_error import EngineUnreachableError
from api.engine.in_worker import hold, play, read_answer
from api.engine.software import software_here
from optimiser.filling.fill_run import FillRun
from optimiser.filling.run_carrier import Scene, Task

if TYPE_CHECKING:
    from distributed import Client, Future

_MOST_HELD = 64
"""Scenes kept on the cluster; a plan with variations of the day has hundreds, each played but a few times."""


class DaskRuns:
    """A RunCarrier: connects when it is first asked, and keeps the latest scenes on the cluster until it is closed.

    A worker that dies takes along what it kept. A scene is therefore handed in as something to compute, from its own
    bytes, which the engine can do again on another worker; data merely put there (`Client.scatter`) would be gone.
    """

    def __init__(self, address: str) -> None:
        self._address = address
        self._client: Client | None = None
        self._held: dict[str, Future[Scene]] = {}
        """By what the scene says, so that it is sent once whoever asks for it."""

    def carry(self, scenes: tuple[Scene, ...], tasks: list[Task]) -> Generator[FillRun, None, None]:
        """Raises what `connect` does, SoftwareDiffersError, WorkerKilledError, and the errors of the runs."""
        try:
            client = self._connected()
            with engine_errors(self._address):
                yield from self._results(client, scenes, tasks)
        except EngineUnreachableError:
            self.close()
            raise

    def close(self) -> None:
        self._held.clear()
        if self._client is not None:
            disconnect(self._client)
            self._client = None

    def _results(self, client: Client, scenes: tuple[Scene, ...], tasks: list[Task]) -> Generator[FillRun, None, None]:
        held = {number: self._hold(client, scenes[number]) for number in sorted({task.scene for task in tasks})}
        waiting = deque(
            client.submit(play, held[task.scene], pickle.dumps(task), software_here(), pure=False) for task in tasks
        )
        try:
            while waiting:
                yield read_answer(waiting.popleft().result())
        finally:
            with suppress(OSError):
                client.cancel(list(waiting))

    def _hold(self, client: Client, scene: Scene) -> Future[Scene]:
        from dask.base import tokenize

        key = f"scene-{tokenize(scene, ensure_deterministic=True)}"
        if key not in self._held:
            self._held[key] = client.submit(hold, pickle.dumps(scene), key=key)
            if len(self._held) > _MOST_HELD:
                del self._held[next(iter(self._held))]  # the oldest; who still plays on it holds it by themselves
        return self._held[key]

    def _connected(self) -> Client:
        if self._client is None:
            self._client = connect(self._address)
        return self._client
