"""The folder of results: refused before the long work begins, not after it."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from api.cli.exits import CannotGoOnError
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from optimiser.case.plan_document import PlanDocument


def ready_out_folder(folder: Path) -> None:
    """Make the folder, or say why nothing can be written there. The writer works beside the folder first."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for place in (folder, folder.parent):
            with TemporaryDirectory(dir=place, prefix=".tapcall-"):
                pass
    except OSError as error:
        fault = Fault(
            path="--out",
            found=f"{folder} ({error.strerror})",
            expected="a folder that can be written",
            remedy="name another folder",
        )
        raise InputError([fault]) from error


def fill_out_folder(plan: PlanDocument, folder: Path) -> list[Path]:
    """Write all files of the plan, whole or not at all."""
    from optimiser.run_sheet.write_all import rendered

    return write_out("plan", rendered(plan), folder)


def write_out(what: str, files: dict[str, bytes], folder: Path) -> list[Path]:
    """Write the files of what was computed, whole or not at all."""
    from optimiser.run_sheet.write_all import write_files

    try:
        return write_files(files, folder)
    except OSError as error:
        raise CannotGoOnError(
            f"The {what} was computed but not written to {folder} ({error.strerror}). Make room and run again."
        ) from error
