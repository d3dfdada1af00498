"""Exit codes, and how each kind of ending is told."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum
from typing import Annotated

import typer

from optimiser.errors import InputError


class ExitCode(IntEnum):
    VERIFIED = 0
    OUR_FAULT = 1
    BAD_INPUT = 2
    NOT_ADMISSIBLE = 3
    """No admissible sequence, or the sequence checked would lock or gel."""
    INTERRUPTED = 130
    STDOUT_CLOSED = 141


Debug = Annotated[bool, typer.Option("--debug", help="On a fault of ours, show the whole trace.")]


class CannotGoOnError(Exception):
    """The surroundings do not allow the command; the message says what to do."""


@contextmanager
def ending_well(*, debug: bool) -> Iterator[None]:
    """Turn whatever ends a command into an exit code and, on stderr, the lines that a person needs."""
    try:
        yield
        sys.stdout.flush()
    except typer.Exit:
        raise
    except InputError as error:
        for fault in error.faults:
            say(str(fault))
        raise typer.Exit(ExitCode.BAD_INPUT) from error
    except KeyboardInterrupt as error:
        say(str(error) or "Interrupted.")
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(ExitCode.INTERRUPTED)  # an ordinary exit would wait for the work that was just given up
    except BrokenPipeError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that the last flush is quiet too
        raise typer.Exit(ExitCode.STDOUT_CLOSED) from error
    except CannotGoOnError as error:
        say(str(error))
        raise typer.Exit(ExitCode.OUR_FAULT) from error
    except Exception as error:
        if debug:
            raise
        first_line = (str(error).splitlines() or [""])[0]
        say(f"Fault of ours, not of the case: {type(error).__name__}: {first_line} (add --debug to see the trace)")
        raise typer.Exit(ExitCode.OUR_FAULT) from error


@contextmanager
def nothing_done_yet(said: str) -> Iterator[None]:
    """On Ctrl-C in here the command ends with this line."""
    try:
        yield
    except KeyboardInterrupt as error:
        raise KeyboardInterrupt(said) from error


def say(line: str) -> None:
    """One line on stderr."""
    print(line, file=sys.stderr)
