"""Outputs appear whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.errors import InputError
from optimiser.run_sheet import write_all
from optimiser.run_sheet.write_all import write_outputs

NAMES = {"plan.json", "run_sheet.html", "run_sheet.pdf", "tap_labels.pdf", "map.svg", "map.png", "pressures.svg"}
CONTENT = {name: name.encode() for name in (*sorted(NAMES - {"plan.json"}), "plan.json")}


class DiskFullError(OSError):
    """Stands for a full disk."""


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Short contents in place of the drawn ones, for tests of the writing alone."""
    monkeypatch.setattr(write_all, "rendered", lambda _plan: dict(CONTENT))


def contents(directory: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in directory.iterdir()}


def test_all_files_are_written_and_the_plan_reads_back(plan: PlanDocument, tmp_path: Path) -> None:
    """The paths are returned, the plan in plan.json is the plan, and nothing else is left beside it."""
    paths = write_outputs(plan, tmp_path / "new" / "shot")
    assert {path.name for path in paths} == NAMES
    assert all(path.stat().st_size > 1_000 for path in paths)
    assert PlanDocument.model_validate_json((tmp_path / "new" / "shot" / "plan.json").read_bytes()) == plan
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["shot"]


@pytest.mark.usefixtures("quick")
def test_foreign_files_survive(plan: PlanDocument, tmp_path: Path) -> None:
    """A photo in the directory stays; old outputs are replaced."""
    (tmp_path / "photo.jpg").write_bytes(b"photo")
    (tmp_path / "plan.json").write_bytes(b"old")
    write_outputs(plan, tmp_path)
    assert contents(tmp_path) == {**CONTENT, "photo.jpg": b"photo"}


@pytest.mark.usefixtures("quick")
def test_a_drawing_that_the_new_plan_has_not_goes(plan: PlanDocument, tmp_path: Path) -> None:
    """Else the thickness of another shot would lie beside this sheet."""
    (tmp_path / "thickness.svg").write_bytes(b"old")
    write_outputs(plan, tmp_path)
    assert contents(tmp_path) == CONTENT


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("good_moves", range(9))
def test_a_failure_half_way_leaves_the_old_files(
    plan: PlanDocument, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, good_moves: int
) -> None:
    """Whichever move fails, old outputs are back, new names are gone and no part directory is left."""
    directory = tmp_path / "shot"
    directory.mkdir()
    before = {"plan.json": b"old plan", "map.png": b"old map", "thickness.png": b"old", "photo.jpg": b"photo"}
    for name, content in before.items():
        (directory / name).write_bytes(content)
    real, moves = os.replace, iter(range(100))

    def failing_once(source: Path, target: Path) -> None:
        if next(moves) == good_moves:
            raise DiskFullError
        real(source, target)

    monkeypatch.setattr(os, "replace", failing_once)
    with pytest.raises(DiskFullError):
        write_outputs(plan, directory)
    assert contents(directory) == before
    assert list(tmp_path.iterdir()) == [directory]


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("good_files", range(6))
def test_a_failure_while_writing_leaves_nothing(
    plan: PlanDocument, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, good_files: int
) -> None:
    """A disk that fills up at any file leaves no new directory behind."""
    real, calls = os.fsync, iter(range(100))

    def full(handle: int) -> None:
        if next(calls) == good_files:
            raise DiskFullError
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFullError):
        write_outputs(plan, tmp_path / "shot")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("quick")
def test_a_file_in_the_way_is_refused_with_a_reason(plan: PlanDocument, tmp_path: Path) -> None:
    """The file that stands where the directory should be is left alone."""
    (tmp_path / "shot").write_bytes(b"mine")
    with pytest.raises(InputError, match="expected a directory"):
        write_outputs(plan, tmp_path / "shot")
    assert (tmp_path / "shot").read_bytes() == b"mine"
