"""kill -9 of the processes that read what is sent in, at work and idle: who asks gets the answer all the same."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections import Counter
from contextlib import suppress
from itertools import count
from random import Random

from api.readers.pool import BeyondLimitsError, NoReaderError, ReaderPool
from benchmarks.durability.finding import Finding
from benchmarks.durability.place import Place
from benchmarks.durability.process_tree import spawned_by
from benchmarks.durability.waiting import wait_until

_READERS = 2
_ASKING = 3
_WORK_S = 0.02
_PAUSE_S = 0.3


def kill_readers(place: Place, times: int, lots: Random) -> Finding:  # noqa: ARG001  a reader has no store
    asking = _Asking()
    for _ in range(times):
        asking.wait_for_an_answer()
        time.sleep(lots.uniform(0.0, _PAUSE_S))
        _kill_one(lots)
    asking.wait_for_an_answer()
    asking.stop()
    told = asking.told
    seen = (
        f"{told['answered']} readings, {told['BeyondLimitsError']} refused with status 422 and "
        f"{told['NoReaderError']} with 503 after two kills in a row"
    )
    return Finding(times=times, seen=seen, wrong=tuple(asking.wrong))


class _Asking:
    """A few threads that have things read, one after the other, as requests do."""

    def __init__(self) -> None:
        self.told, self.wrong = Counter[str](), list[str]()
        self._readers = ReaderPool(processes=_READERS, limit_s=20.0, memory_mb=2_000)
        self._enough = threading.Event()
        self._threads = [threading.Thread(target=self._ask) for _ in range(_ASKING)]
        for thread in self._threads:
            thread.start()

    def wait_for_an_answer(self) -> None:
        answered = self.told["answered"]
        wait_until(lambda: self.told["answered"] > answered, "something to be read again")

    def stop(self) -> None:
        self._enough.set()
        for thread in self._threads:
            thread.join()
        self._readers.close()

    def _ask(self) -> None:
        for number in count():
            try:
                found = self._readers.run(read_slowly, number)
            except (BeyondLimitsError, NoReaderError) as error:
                self.told[type(error).__name__] += 1
            else:
                self.told["answered"] += 1
                if found != -number:
                    self.wrong.append(f"{number} was answered with {found}")
            # Now and then a pause, so that some are killed while nothing is under way.
            if self._enough.wait(2 * _PAUSE_S if number % 10 == 0 else 0.0):
                return


def read_slowly(number: int) -> int:
    time.sleep(_WORK_S)
    return -number


def _kill_one(lots: Random) -> None:
    if readers := spawned_by(os.getpid()):
        with suppress(ProcessLookupError):
            os.kill(lots.choice(readers), signal.SIGKILL)
