"""Everything that is printed, into one directory: whole or not at all."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from optimiser.case.plan_document import PlanDocument
from optimiser.errors import Fault, InputError
from optimiser.run_sheet.drawings import Drawings
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.pressure_plot import pressure_plot_svg
from optimiser.run_sheet.tap_labels import render_tap_labels_pdf

SOMETIMES = ("thickness.svg", "thickness.png")
"""Only where the bag gives."""


def rendered(plan: PlanDocument) -> dict[str, bytes]:
    """Content by file name. The plan itself comes last, so that it is the last to be put in place."""
    drawings = Drawings(plan)
    svg, png = drawings.thickness_svg, drawings.thickness_png
    thickness = {} if svg is None or png is None else dict(zip(SOMETIMES, (svg.encode(), png), strict=True))
    return {
        "run_sheet.html": render_html(plan, drawings).encode(),
        "run_sheet.pdf": render_pdf(plan, drawings),
        "tap_labels.pdf": render_tap_labels_pdf(plan),
        "map.svg": drawings.wet_out_svg.encode(),
        "map.png": drawings.wet_out_png,
        "pressures.svg": pressure_plot_svg(plan).encode(),
        **thickness,
        "plan.json": (plan.model_dump_json(indent=2) + "\n").encode(),
    }


def write_outputs(plan: PlanDocument, directory: Path) -> list[Path]:
    """Write all files of a plan, as `write_files` does; what an earlier plan had and this one has not goes."""
    files = rendered(plan)
    return write_files(files, directory, gone=[name for name in SOMETIMES if name not in files])


def write_files(files: dict[str, bytes], directory: Path, *, gone: Sequence[str] = ()) -> list[Path]:
    """Write all files, take away those that are to be gone, and return the paths of what was written.

    After a failure the directory is as it was before.

    Raises InputError where `directory` is not a directory, OSError where the disk refuses.
    """
    if directory.exists() and not directory.is_dir():
        raise InputError(
            [Fault(path="", found=f"a file named {directory.name}", expected="a directory for the outputs")]
        )
    directory.parent.mkdir(parents=True, exist_ok=True)
    with _beside(directory) as new:
        for name, content in files.items():
            _write_through(new / name, content)
        _sync(new)
        if directory.exists():
            _swap_in(new, directory, list(files), gone)
        else:
            os.replace(new, directory)
    _sync(directory)
    _sync(directory.parent)
    return [directory / name for name in files]


@contextmanager
def _beside(directory: Path) -> Iterator[Path]:
    """A new directory on the same disk, gone at the end whatever happens."""
    made = directory.parent / f".{directory.name}.{secrets.token_hex(6)}.part"
    made.mkdir()
    try:
        yield made
    finally:
        shutil.rmtree(made, ignore_errors=True)


def _write_through(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _swap_in(new: Path, directory: Path, names: list[str], gone: Sequence[str]) -> None:
    """Put each new file in the place of the old one, then take away the rest; on any failure put the old ones back."""
    old = new / "old"
    old.mkdir()
    done: list[str] = []
    try:
        for name in names:
            done.append(name)
            if (directory / name).exists():
                os.replace(directory / name, old / name)
            os.replace(new / name, directory / name)
        for name in gone:
            if (directory / name).exists():
                os.replace(directory / name, old / name)
    except BaseException:
        for name in gone:
            if (old / name).exists():
                os.replace(old / name, directory / name)
        for name in reversed(done):
            _put_back(old / name, new / name, directory / name)
        raise


def _put_back(old: Path, new: Path, place: Path) -> None:
    """Undo one swap, however far it came."""
    if old.exists():
        os.replace(old, place)
    elif not new.exists():
        place.unlink(missing_ok=True)


def _sync(directory: Path) -> None:
    """Make the names in a directory last through a power cut."""
    handle = os.open(directory, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
