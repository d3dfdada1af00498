"""The folder of the embedded store."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryFile


class FolderError(Exception):
    """The data folder cannot be used; the message says what to do."""


def ready_folder(folder: Path) -> None:
    """Make the folder, for its owner alone, and find out now rather than later whether it can be written."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise FolderError(f"the data folder {folder} cannot be written: {error}") from error


def find_store(folder: Path) -> None:
    """FolderError where nobody has begun a store."""
    if not (folder / "tapcall.sqlite3").is_file():
        raise FolderError(f"there is no store in {folder}: name the folder of the service, or begin one: tapcall serve")
