"""tapcall doctor says what is wrong and what to do, and changes nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

ANY_PORT = {"TAPCALL_PORT": "0"}


def contents(data: Path) -> dict[str, tuple[bytes, float]]:
    return {path.name: (path.read_bytes(), path.stat().st_mtime) for path in data.iterdir()}


def test_a_sound_service_has_no_trouble_and_is_left_as_it_was(data: Path, tapcall: Callable[..., Any]) -> None:
    """Exit code 0, one line for each thing, and not a byte, a time or a file of the data folder has changed."""
    before = contents(data)
    ended = tapcall("doctor", "--data", data, **ANY_PORT)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.splitlines()[-1].startswith("0 trouble, ")
    for thing in (
        "Python",
        "packages",
        "data folder",
        "soundness of the store",
        "tables of the store",
        "keys",
        "engine",
    ):
        assert f"ok       {thing}: " in ended.stdout
    assert contents(data) == before


def test_a_program_is_told_the_same_as_a_person(data: Path, tapcall: Callable[..., Any]) -> None:
    """--json: one document with the worst state, and each finding with its four fields."""
    said = tapcall("doctor", "--data", data, **ANY_PORT).stdout
    document = json.loads(tapcall("doctor", "--json", "--data", data, **ANY_PORT).stdout)
    assert document["state"] in ("ok", "warning")
    for finding in document["findings"]:
        assert set(finding) == {"what", "state", "found", "do"}
        assert (finding["do"] == "") == (finding["state"] == "ok")
        assert finding["what"] == "clock" or f"{finding['what']}: {finding['found']}" in said


def test_trouble_ends_with_code_1_and_says_what_to_do(tmp_path: Path, tapcall: Callable[..., Any]) -> None:
    """A data folder that is a file."""
    place = tmp_path / "file"
    place.write_text("")
    ended = tapcall("doctor", "--data", place, **ANY_PORT)
    assert ended.returncode == 1
    assert f"trouble  data folder: {place} is a file\n         -> name a folder" in ended.stdout


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path, tapcall: Callable[..., Any]) -> None:
    """Trouble: whoever asks for it by name has misspelt it, or has no service yet."""
    ended = tapcall("doctor", "--data", tmp_path / "new", **ANY_PORT)
    assert ended.returncode == 1
    assert "trouble  data folder: " in ended.stdout
    assert not (tmp_path / "new").exists()


def test_a_setting_that_cannot_be_used_is_trouble_and_not_the_end(tapcall: Callable[..., Any]) -> None:
    """It is named, and what does not depend on it is still looked at."""
    ended = tapcall("doctor", TAPCALL_PORT="eighty")
    assert ended.returncode == 1
    assert "trouble  TAPCALL_PORT: eighty cannot be used" in ended.stdout
    assert "ok       Python: " in ended.stdout


def test_no_password_and_no_key_is_ever_printed(tapcall: Callable[..., Any]) -> None:
    """Of a database that does not answer, and of one whose address is a key by mistake."""
    secret = "correct horse/battery"
    for url in (f"postgresql+psycopg://u:{secret.replace('/', '%2F')}@127.0.0.1:1/t", f"postgres-{secret}"):
        ended = tapcall("doctor", TAPCALL_DATABASE_URL=url, **ANY_PORT)
        assert ended.returncode == 1
        assert "trouble  store: it does not answer" in ended.stdout
        assert "horse" not in ended.stdout + ended.stderr
