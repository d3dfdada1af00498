"""The audit is written with the change, and read newest first."""

from __future__ import annotations

import pytest

from api.audit import list_audit, note
from api.store.database import Database
from api.store.pages import CursorError


def write(store: Database, count: int) -> None:
    with store.write() as connection:
        for number in range(count):
            note(connection, key_id="k", action="layout.add", subject=f"layout_{number}", request_id=f"r{number}")


def test_an_entry_says_who_what_and_when(store: Database) -> None:
    """As it was noted, with an instant in UTC."""
    write(store, 1)
    with store.read() as connection:
        (entry,) = list_audit(connection, limit=5, cursor=None).rows
    assert (entry.key_id, entry.action, entry.subject, entry.request_id) == ("k", "layout.add", "layout_0", "r0")
    assert entry.at.utcoffset().total_seconds() == 0


def test_a_change_that_is_undone_leaves_no_entry(store: Database) -> None:
    """Both stand in one transaction."""

    def change() -> None:
        with store.write() as connection:
            note(connection, key_id=None, action="layout.add", subject="x")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        change()
    with store.read() as connection:
        assert list_audit(connection, limit=5, cursor=None).rows == []


def test_pages_follow_each_other_while_new_entries_arrive(store: Database) -> None:
    """Newest first; none is repeated or left out."""
    write(store, 5)
    seen: list[str] = []
    cursor = None
    while True:
        with store.read() as connection:
            page = list_audit(connection, limit=2, cursor=cursor)
        seen += [entry.subject for entry in page.rows]
        cursor = page.next_cursor
        if cursor is None:
            break
        write(store, 1)
    assert seen == [f"layout_{number}" for number in (4, 3, 2, 1, 0)]


@pytest.mark.parametrize("cursor", ["", "x", "-1", "1.5", "2147483648", "9" * 300, "\0", "१"])
def test_a_cursor_of_another_list_is_refused(store: Database, cursor: str) -> None:
    """CursorError, also for what no id of a 32-bit column can be, and for digits of another script."""
    with pytest.raises(CursorError), store.read() as connection:
        list_audit(connection, limit=2, cursor=cursor)
