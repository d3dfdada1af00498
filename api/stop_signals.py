"""SIGTERM and Ctrl-C, for what runs until it is stopped: an order to end well, not an accident."""

from __future__ import annotations

import signal
from collections.abc import Callable
from types import FrameType, TracebackType
from typing import Any

_STOPS = (signal.SIGTERM, signal.SIGINT)


class StopSignals:
    """Use as a context, in the main thread. As long as nothing else is set they leave the program, with exit code 0."""

    def __init__(self) -> None:
        self._stop: Callable[[], None] = self._leave
        self._before: dict[signal.Signals, Any] = {}

    def __enter__(self) -> StopSignals:
        self._before = {number: signal.signal(number, self._on_signal) for number in _STOPS}
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def then(self, stop: Callable[[], None]) -> None:
        """From now on they call `stop`, which must return at once and may be called again."""
        self._stop = stop

    def _on_signal(self, _number: int, _frame: FrameType | None) -> None:
        self._stop()

    def _leave(self) -> None:
        self._stop = lambda: None  # a second one must not interrupt the cleaning up after the first
        raise SystemExit(0)
