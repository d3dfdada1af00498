"""The folder of results: refused before the long work begins, filled only with whole files."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from optimiser.case.plan_document import PlanDocument
from optimiser.errors import Fault, InputError
from optimiser.run_sheet.write_all import write_outputs


def ready_out_folder(folder: Path) -> None:
    """Make the folder, or say why nothing can be written there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=folder, prefix=".tapcall-"):
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
    """Write all files of the plan beside their place, then move them in: none is ever half there."""
    with TemporaryDirectory(dir=folder, prefix=".tapcall-") as beside:
        written = write_outputs(plan, Path(beside))
        return [_moved(path, folder / path.relative_to(beside)) for path in written]


def _moved(path: Path, to: Path) -> Path:
    to.parent.mkdir(parents=True, exist_ok=True)
    os.replace(path, to)
    return to
