"""Dense algebra on one thread: ours is small, is slower on several, and its last digits depend on how many."""

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
