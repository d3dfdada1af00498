"""`tapcall keys`: the key alone on stdout, all else on stderr, and every change in the audit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from api.audit import list_audit
from api.keys.key_ring import KeyRing
from api.keys.key_text import parse_key
from api.keys.scopes import Scope
from api.store.database import Database

Tapcall = Callable[..., Any]


@pytest.fixture
def opened(tmp_path: Path, open_store: Callable[..., Database]) -> Callable[[], Database]:
    """The store that the commands have made."""
    return lambda: open_store(f"sqlite:///{tmp_path / 'shop' / 'tapcall.sqlite3'}")


def add(tapcall: Tapcall, *more: str) -> str:
    ended = tapcall("keys", "add", "nightly planning", "--data", "shop", *more)
    assert ended.returncode == 0, ended.stderr
    return str(ended.stdout)


def test_a_script_can_take_the_key_from_stdout(tapcall: Tapcall, opened: Callable[[], Database]) -> None:
    """One line, the key; what a person wants to know is on stderr, without the secret; the key opens the store."""
    ended = tapcall("keys", "add", "nightly planning", "--scope", "submit", "--data", "shop")
    key = parse_key(ended.stdout.removesuffix("\n"))
    assert ended.returncode == 0
    assert key is not None
    assert key.secret not in ended.stderr
    assert key.id in ended.stderr
    holder = KeyRing(opened()).holder(key.text)
    assert holder is not None
    assert (holder.name, holder.scopes) == ("nightly planning", {Scope.READ, Scope.SUBMIT})


def test_a_list_shows_what_is_good_and_no_secret(tapcall: Tapcall) -> None:
    """One line a key, newest first."""
    short, endless = add(tapcall, "--days", "30"), add(tapcall, "--scope", "operate")
    tapcall("keys", "revoke", endless.split("_")[1], "--data", "shop")
    listed = tapcall("keys", "list", "--data", "shop").stdout
    lines = [line.split("\t") for line in listed.splitlines()]
    assert [line[0] for line in lines] == [endless.split("_")[1], short.split("_")[1]]
    assert [line[2] for line in lines] == ["operate", "read"]
    assert lines[0][3].startswith("was revoked at ")
    assert lines[1][3].startswith("good until ")
    assert {line[4] for line in lines} == {"never used"}
    assert all(text.strip().split("_")[2] not in listed for text in (short, endless))


def test_a_rotated_key_gives_way_to_the_new_one(tapcall: Tapcall, opened: Callable[[], Database]) -> None:
    """At once with an overlap of nothing; of the same scope."""
    old = add(tapcall, "--scope", "submit").strip()
    ended = tapcall("keys", "rotate", old.split("_")[1], "--overlap-hours", "0", "--data", "shop")
    ring = KeyRing(opened())
    assert ring.holder(old) is None
    assert ring.holder(ended.stdout.strip()).scopes == {Scope.READ, Scope.SUBMIT}


def test_a_revoked_key_opens_nothing(tapcall: Tapcall, opened: Callable[[], Database]) -> None:
    """Revoked twice is revoked."""
    key = add(tapcall).strip()
    for _ in range(2):
        assert tapcall("keys", "revoke", key.split("_")[1], "--data", "shop").returncode == 0
    assert KeyRing(opened()).holder(key) is None


def test_the_audit_says_what_the_command_line_did(tapcall: Tapcall, opened: Callable[[], Database]) -> None:
    """Without a key, and with the command line named."""
    first = add(tapcall).split("_")[1]
    second = tapcall("keys", "rotate", first, "--data", "shop").stdout.split("_")[1]
    tapcall("keys", "revoke", first, "--data", "shop")
    with opened().read() as connection:
        entries = list_audit(connection, limit=10, cursor=None).rows
    assert [(each.key_id, each.action, each.subject) for each in entries] == [
        (None, "key.revoke (command line)", first),
        (None, "key.add (command line)", second),
        (None, "key.rotate (command line)", first),
        (None, "key.add (command line)", first),
    ]


@pytest.mark.parametrize(
    "words", [("revoke", "0" * 16), ("rotate", "0" * 16), ("revoke", ""), ("add", ""), ("add", "a\nb")], ids=" ".join
)
def test_what_cannot_be_done_is_told_in_a_line(tapcall: Tapcall, words: tuple[str, str]) -> None:
    """Exit code 2, nothing on stdout, no traceback."""
    add(tapcall)
    ended = tapcall("keys", *words, "--data", "shop")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "found " in ended.stderr
    assert "Traceback" not in ended.stderr


def test_a_whole_key_in_place_of_its_id_is_not_repeated(tapcall: Tapcall) -> None:
    """It is refused, and its secret is not shown on the screen."""
    key = add(tapcall).strip()
    ended = tapcall("keys", "revoke", key, "--data", "shop")
    assert ended.returncode == 2
    assert key.split("_")[2] not in ended.stderr


def test_a_folder_that_cannot_be_used_is_told_in_a_line(tapcall: Tapcall) -> None:
    """Exit code 1, and what to do about it."""
    Path("shop").write_text("a file")
    ended = tapcall("keys", "add", "a", "--data", "shop")
    assert (ended.returncode, ended.stdout) == (1, "")
    assert "the data folder shop cannot be written" in ended.stderr


@pytest.mark.parametrize("words", [("list",), ("rotate", "0" * 16), ("revoke", "0" * 16)], ids=" ".join)
def test_a_mistyped_folder_does_not_become_a_store(tapcall: Tapcall, words: tuple[str, ...]) -> None:
    """Refused in one line with the whole path, and nothing is made there."""
    ended = tapcall("keys", *words, "--data", "shpo")
    assert (ended.returncode, ended.stdout) == (1, "")
    assert f"there is no store in {Path('shpo').absolute()}" in ended.stderr
    assert not Path("shpo").exists()


def test_a_store_that_is_begun_is_told(tapcall: Tapcall) -> None:
    """Once, with the whole path, on stderr: stdout is the key alone."""
    told = f"Begun a new store in {Path('shop').absolute()}\n"
    assert told in tapcall("keys", "add", "a", "--data", "shop").stderr
    assert told not in tapcall("keys", "add", "b", "--data", "shop").stderr
