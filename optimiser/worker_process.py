"""Worker processes of ours: begun in milliseconds, deaf to Ctrl-C, dead when their maker is.

They are forked from a process that holds the imports and nothing else (the start method `forkserver` of Python's
multiprocessing): no thread, lock or connection of the maker is copied, and nothing is imported again for each.
"""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import select
import signal
import threading
from multiprocessing.context import ForkServerContext

from optimiser.one_blas_thread import one_blas_thread_from_now_on

_PR_SET_PDEATHSIG = 1
_held = ["__main__"]


def hold_for_workers(module: str) -> None:
    """Have the module imported where workers are forked. To be called before the first of this process is begun."""
    if module not in _held:
        _held.append(module)


def worker_context() -> ForkServerContext:
    """In which worker processes are begun."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(_held)
    return context


def begin_worker(maker_pid: int) -> None:
    """Call first in a worker process. Ctrl-C is the maker's to handle."""
    one_blas_thread_from_now_on()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_with(maker_pid)


def end_with(maker_pid: int) -> None:
    """Have this process end when its maker does, or when the process does from which it was forked.

    The kernel tells of the latter, and a thread waits for the former; elsewhere than on Linux this does nothing.
    """
    try:
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
        maker = os.pidfd_open(maker_pid)
    except ProcessLookupError:
        os._exit(1)
    except (AttributeError, OSError):
        return
    threading.Thread(target=_end_after, args=(maker,), name="end with maker", daemon=True).start()


def _end_after(maker: int) -> None:
    select.select([maker], [], [])
    os._exit(1)
