"""How a worker process of ours begins: one thread for dense algebra, deaf to Ctrl-C, dead when its parent is."""

from __future__ import annotations

import ctypes
import os
import signal

from optimiser.one_blas_thread import one_blas_thread_from_now_on

_PR_SET_PDEATHSIG = 1


def begin_worker(parent_pid: int) -> None:
    """Call first in a spawned process. Ctrl-C is the parent's to handle."""
    one_blas_thread_from_now_on()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    die_with(parent_pid)


def die_with(parent_pid: int) -> None:
    """Have Linux kill this process when the thread that started it ends; elsewhere this does nothing."""
    try:
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    except (AttributeError, OSError):
        return
    if os.getppid() != parent_pid:  # the parent died before the kernel was asked
        os._exit(1)
