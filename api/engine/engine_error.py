"""What can go wrong with whoever carries the work, as opposed to with the work.

    EngineError
    |- EngineUnreachableError   the cluster does not answer, was lost, or has no worker
    |- SoftwareDiffersError     a worker would compute with other software than who asks
    |- WorkerKilledError        the work ended the processes that did it

All but the last say nothing about the work: the same again later may succeed.
"""

from __future__ import annotations

from optimiser.errors import TapcallError


class EngineError(TapcallError):
    """Root of the errors of carrying."""


class EngineUnreachableError(EngineError):
    """The cluster does not answer, was lost on the way, or has no worker."""


class SoftwareDiffersError(EngineError):
    """A worker would compute with other software than who asks, so its digits may differ."""


class WorkerKilledError(EngineError):
    """The process that did the work ended with it: killed, out of memory, or crashed in foreign code."""
