"""Every error this library raises on purpose.

    TapcallError
    |- InputError          the document is wrong: one Fault for each thing to mend (exit 2, HTTP 422)
    |- OutOfRangeError     a law was asked outside the range where it holds
    |- NotConvergedError   a computation stopped without an answer that may be believed (exit 1)

"No admissible sequence" is not an error: it is a verdict of a plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing wrong in a document, said so that its writer can mend it."""

    path: str
    """JSON pointer (RFC 6901) to the field, '' for the document as a whole."""
    found: str
    """What stands there, shortened where it is long."""
    expected: str
    """What would be right, with the unit and the limits."""
    remedy: str = ""
    """What to try, where that is not plain from `expected`."""

    def __str__(self) -> str:
        where = self.path or "(whole document)"
        text = f"{where}: found {self.found}; expected {self.expected}"
        return f"{text}. Try: {self.remedy}" if self.remedy else text


class TapcallError(Exception):
    """Root of every error raised on purpose."""


class InputError(TapcallError):
    """The document cannot be used as it stands; `faults` lists every reason found, in document order."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[object, tuple[tuple[Fault, ...]]]:
        """So that it crosses from a worker process with its message."""
        return InputError, (self.faults,)


class OutOfRangeError(TapcallError, ValueError):
    """A law was asked for a value outside the range where it holds."""


class NotConvergedError(TapcallError):
    """A computation stopped without an answer that may be believed."""

    def __init__(self, *, step: int, time_s: float, where: str, residual: float, remedy: str) -> None:
        self.step, self.time_s, self.where, self.residual, self.remedy = step, time_s, where, residual, remedy
        super().__init__(
            f"not converged at step {step}, {time_s:.1f} s, {where}: residual {residual:.3g}. Try: {remedy}"
        )

    def __reduce__(self) -> tuple[object, tuple[()]]:
        """So that it crosses from a worker process with its message."""
        again = partial(
            NotConvergedError,
            step=self.step,
            time_s=self.time_s,
            where=self.where,
            residual=self.residual,
            remedy=self.remedy,
        )
        return again, ()
