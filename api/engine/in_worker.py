"""What a worker of the cluster does. Work and answers are pickled here, so that the engine sees but bytes.

Errors raised on purpose go back as values: the engine would cut their text and write their arguments to its log.
"""

from __future__ import annotations

import pickle
from functools import cache
from typing import Any

from api.engine.engine_error import SoftwareDiffersError
from api.engine.software import Software, differences, software_here
from optimiser.errors import TapcallError
from optimiser.filling.run_carrier import Scene, Task, run_scene
from optimiser.one_blas_thread import one_blas_thread_from_now_on


def hold(scene: bytes) -> Scene:
    """A scene, for the worker to keep."""
    held: Scene = pickle.loads(scene)
    return held


def play(scene: Scene, task: bytes, asked_with: Software) -> bytes:
    """One network run: a pickled Task on a scene that the worker holds, to a pickled FillRun or error."""
    return _answer(asked_with, _play, scene, task)


def call(work: bytes, asked_with: Software) -> bytes:
    """Any call: a pickled (function, arguments, named arguments) to a pickled answer or error."""
    return _answer(asked_with, _call, work)


def _play(scene: Scene, task: bytes) -> Any:
    one: Task = pickle.loads(task)
    return run_scene(scene, one.sequence, one.limits)


def _call(work: bytes) -> Any:
    function, arguments, named = pickle.loads(work)
    return function(*arguments, **named)


def _answer(asked_with: Software, function: Any, *arguments: Any) -> bytes:
    try:
        _check_software(asked_with)
        _one_blas_thread()
        answer = function(*arguments)
    except TapcallError as error:
        answer = Raised(error)
    return pickle.dumps(answer, protocol=pickle.HIGHEST_PROTOCOL)


class Raised:
    """An error as an answer."""

    def __init__(self, error: Exception) -> None:
        self.error = error


def read_answer(answer: bytes) -> Any:
    """On the side that asked: the answer, or its error raised."""
    found = pickle.loads(answer)
    if isinstance(found, Raised):
        raise found.error
    return found


def _check_software(asked_with: Software) -> None:
    if differs := differences(software_here(), asked_with):
        raise SoftwareDiffersError(
            f"a worker of the engine has other software: {differs}. Install the same on all machines "
            "and start the workers anew"
        )


@cache
def _one_blas_thread() -> None:
    """For good: a worker may have several threads, and the end of one run must not lift the limit for another."""
    one_blas_thread_from_now_on()
