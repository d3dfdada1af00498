"""Dense algebra on one thread: ours is small, is slower on several, and its last digits depend on how many."""

import os
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import threadpool_limits

P = ParamSpec("P")
T = TypeVar("T")


def one_blas_thread(function: Callable[P, T]) -> Callable[P, T]:
    @wraps(function)
    def limited(*args: P.args, **kwargs: P.kwargs) -> T:
        with threadpool_limits(limits=1, user_api="blas"):
            return function(*args, **kwargs)

    return limited


def one_blas_thread_from_now_on() -> None:
    """For a process that does nothing else: libraries that are loaded, and by their own settings those yet to be."""
    for library in ("BLIS", "MKL", "OMP", "OPENBLAS"):
        os.environ[f"{library}_NUM_THREADS"] = "1"
    threadpool_limits(limits=1, user_api="blas")
