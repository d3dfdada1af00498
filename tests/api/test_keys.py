"""The text of a key, keys in the store, and the ring that answers for each request."""

from __future__ import annotations

import hmac
import logging
import math
import time
from datetime import timedelta
from hashlib import sha256
from typing import Any

import pytest
from sqlalchemy import select, update

from api.keys.key_ring import CACHE_S, Holder, KeyRing
from api.keys.key_text import KeyText, new_key_text, parse_key, without_secrets
from api.keys.keys import KeyEndedError, all_keys, find_key, list_keys, make, revoke, rotate
from api.keys.scopes import Scope, scopes_from_text, scopes_to_text, with_lesser
from api.logs import JsonLines
from api.store.database import Database
from api.store.instants import now
from api.store.tables import api_keys
from optimiser.errors import InputError

PUBLIC = "tapcall_0123456789abcdef_"


class Clock:
    """A monotonic clock that is put forward by hand."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


def made(store: Database, *scopes: Scope, name: str = "planning", **more: Any) -> Any:
    with store.write() as connection:
        return make(connection, name=name, scopes=scopes or (Scope.SUBMIT,), **more)


def row_of(store: Database, key_id: str) -> Any:
    with store.read() as connection:
        return connection.execute(select(api_keys).where(api_keys.c.id == key_id)).one()


# ---- the text --------------------------------------------------------------------------------------------------


def test_a_key_reads_back_as_it_was_made() -> None:
    """Id of at least 12 characters; a secret that holds at least 256 bits: letters times log2 of the alphabet."""
    key = new_key_text()
    assert parse_key(key.text) == key
    assert len(key.id) >= 12
    assert key.secret.isalnum()
    assert key.secret.isascii()
    assert len(key.secret) * math.log2(62) >= 256
    assert key.secret not in repr(key)


def test_no_two_keys_are_alike() -> None:
    """A thousand ids and a thousand secrets."""
    keys = [new_key_text() for _ in range(1000)]
    assert len({key.id for key in keys}) == len({key.secret for key in keys}) == 1000


@pytest.mark.parametrize(
    "text",
    ["", "tapcall", "tapcall__", PUBLIC, PUBLIC.upper() + "a" * 43, PUBLIC + "a" * 42, PUBLIC + "a" * 44,
     PUBLIC + "é" * 43, " " + PUBLIC + "a" * 43, PUBLIC + "a" * 43 + "\n", "x" * 100_000],
)  # fmt: skip
def test_what_is_no_key_is_not_read_as_one(text: str) -> None:
    """Wrong length, alphabet, prefix, or something around it."""
    assert parse_key(text) is None


def test_a_secret_is_compared_in_constant_time_also_for_an_id_that_nobody_has(
    store: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One hmac.compare_digest of two SHA-256 each time, so that time does not tell which ids there are."""
    compared: list[tuple[int, int]] = []
    digest = hmac.compare_digest
    monkeypatch.setattr(hmac, "compare_digest", lambda a, b: compared.append((len(a), len(b))) or digest(a, b))
    ring, known = KeyRing(store), made(store)
    assert ring.holder(known.text) is not None
    assert ring.holder(f"tapcall_{known.id}_{'a' * 43}") is None
    assert ring.holder(new_key_text().text) is None
    assert compared == [(64, 64)] * 3


@pytest.mark.parametrize("secret", ["", "a" * 43])
def test_no_secret_fits_an_id_that_nobody_has(secret: str) -> None:
    """Not even the one whose hash it is compared with for the time's sake."""
    key = KeyText(id="0" * 16, secret=secret)
    assert not key.fits(None)
    assert key.fits(sha256(secret.encode()).hexdigest())


def test_a_log_line_never_holds_a_key() -> None:
    """Wherever it stands: in the message, in a field, in a trace; the public part stays, to find the holder by."""
    key = new_key_text()
    try:
        raise ValueError(f"odd: {key.text}")
    except ValueError as error:
        record = logging.LogRecord("x", logging.ERROR, "x", 1, "got %s", (key.text,), (ValueError, error, None))
    record.path = f"/v1/keys/{key.text}"
    line = JsonLines().format(record)
    assert key.secret not in line
    assert line.count(key.id) == 3
    assert without_secrets("tapcall keys") == "tapcall keys"


# ---- scopes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("scope", "included"),
    [("read", {"read"}), ("submit", {"read", "submit"}), ("operate", {"read", "submit", "operate"})],
)
def test_each_scope_includes_those_before_it(scope: str, included: set[str]) -> None:
    """read, submit, operate."""
    assert with_lesser([Scope(scope)]) == included


def test_scopes_are_kept_as_text() -> None:
    """In order; a word of a later version allows nothing, and neither does no word at all."""
    assert scopes_to_text([Scope.OPERATE, Scope.READ, Scope.READ]) == "read,operate"
    assert scopes_from_text("read,conquer") == (Scope.READ,)
    assert scopes_from_text("") == ()
    assert with_lesser([]) == frozenset()


# ---- the store -------------------------------------------------------------------------------------------------


def test_the_store_keeps_the_plain_hash_and_nothing_else_of_the_secret(store: Database) -> None:
    """SHA-256 of the secret alone; no part of the row holds the secret."""
    key = made(store)
    row = row_of(store, key.id)
    assert row.secret_sha256 == sha256(key.secret.encode()).hexdigest()
    assert key.secret not in str(tuple(row))


def test_a_list_shows_no_hash(store: Database) -> None:
    """Newest first, page by page or all together, ended keys too."""
    ids = [made(store, name=f"key {number}").id for number in range(3)]
    with store.write() as connection:
        revoke(connection, ids[0])
    with store.read() as connection:
        rows = all_keys(connection)
        first = list_keys(connection, limit=2, cursor=None)
        second = list_keys(connection, limit=2, cursor=first.next_cursor)
    assert [row.id for row in rows] == [row.id for row in (*first.rows, *second.rows)] == ids[::-1]
    assert second.next_cursor is None
    assert not hasattr(rows[0], "secret_sha256")


@pytest.mark.parametrize("name", ["", "  ", "a\0b", "a\nb", "\ud800", "a" * 101])
def test_a_name_that_cannot_be_printed_is_refused(store: Database, name: str) -> None:
    """InputError at /name, and no key."""
    with pytest.raises(InputError) as raised, store.write() as connection:
        make(connection, name=name, scopes=[Scope.READ])
    assert [fault.path for fault in raised.value.faults] == ["/name"]
    with store.read() as connection:
        assert all_keys(connection) == []


def test_rotation_makes_a_like_key_and_lets_the_old_one_run_out(store: Database) -> None:
    """Same name and scopes, a length of life as before; the old one is good for the overlap, then no more."""
    old = made(store, Scope.OPERATE, name="crane", expires_at=now() + timedelta(days=30))
    with store.write() as connection:
        new = rotate(connection, old.id, overlap_s=3600)
    assert new is not None
    before, after = row_of(store, old.id), row_of(store, new.id)
    assert (after.name, after.scopes) == ("crane", "operate")
    assert after.expires_at - after.created_at == pytest.approx(timedelta(days=30), abs=timedelta(seconds=10))
    assert before.expires_at - now() == pytest.approx(timedelta(hours=1), abs=timedelta(seconds=10))
    ring = KeyRing(store)
    assert ring.holder(old.text) is not None
    assert ring.holder(new.text) is not None


def test_rotation_never_lengthens_the_life_of_the_old_key(store: Database) -> None:
    """A key that ends sooner than the overlap ends when it was to end."""
    ends = now() + timedelta(minutes=5)
    old = made(store, expires_at=ends)
    with store.write() as connection:
        rotate(connection, old.id, overlap_s=3600)
    assert row_of(store, old.id).expires_at == ends


def test_a_key_that_has_ended_is_not_rotated(store: Database) -> None:
    """Revoked or expired: an error that says which; unknown: None."""
    revoked, expired = made(store), made(store, expires_at=now() - timedelta(seconds=1))
    with store.write() as connection:
        revoke(connection, revoked.id)
    for key, why in ((revoked, "revoked"), (expired, "ended")):
        with pytest.raises(KeyEndedError, match=why), store.write() as connection:
            rotate(connection, key.id, overlap_s=1)
    with store.write() as connection:
        assert rotate(connection, "0" * 16, overlap_s=1) is None


def test_revoking_again_changes_nothing(store: Database) -> None:
    """The instant of the first time stands; an unknown id is told."""
    key = made(store)
    instants = []
    for _ in range(2):
        with store.write() as connection:
            assert revoke(connection, key.id)
        with store.read() as connection:
            found = find_key(connection, key.id)
        assert found is not None
        instants.append(found.revoked_at)
    assert instants[0] == instants[1] is not None
    with store.write() as connection:
        assert not revoke(connection, "0" * 16)


# ---- the ring --------------------------------------------------------------------------------------------------


def test_a_good_key_has_a_holder(store: Database) -> None:
    """Id, name, and the scopes with those that they include."""
    key = made(store)
    assert KeyRing(store).holder(key.text) == Holder(
        key_id=key.id, name="planning", scopes=frozenset({Scope.READ, Scope.SUBMIT})
    )


def test_expired_revoked_foreign_and_mistyped_keys_have_none(store: Database) -> None:
    """All of them look the same from outside."""
    expired, revoked, good = made(store, expires_at=now() - timedelta(seconds=1)), made(store), made(store)
    with store.write() as connection:
        revoke(connection, revoked.id)
    ring = KeyRing(store)
    mistyped = good.text[:-1] + ("a" if good.text[-1] != "a" else "b")
    for text in (expired.text, revoked.text, new_key_text().text, mistyped, good.text + "a", "", "nonsense"):
        assert ring.holder(text) is None
    assert ring.holder(good.text) is not None


def test_a_key_expires_while_it_is_remembered(store: Database) -> None:
    """The cache does not lengthen its life."""
    key = made(store, expires_at=now() + timedelta(milliseconds=150))
    ring = KeyRing(store)
    assert ring.holder(key.text) is not None
    time.sleep(0.16)
    assert ring.answers_from_memory(key.text)
    assert ring.holder(key.text) is None


def test_two_thousand_requests_ask_the_store_once(store: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """Within the time of the cache, for a good key and for one that nobody has."""
    good, foreign, asked = made(store), new_key_text(), []
    ring, read = KeyRing(store, clock=Clock()), store.read
    monkeypatch.setattr(store, "read", lambda: asked.append(1) or read())
    for _ in range(1000):
        assert ring.holder(good.text) is not None
        assert ring.holder(foreign.text) is None
    assert len(asked) == 2


def test_a_revoked_key_is_refused_within_the_time_of_the_cache(store: Database) -> None:
    """Revoked by another process: until then it is remembered, 5 s later it is not."""
    key, clock = made(store), Clock()
    ring = KeyRing(store, clock=clock)
    assert ring.holder(key.text) is not None
    with store.write() as connection:
        revoke(connection, key.id)
    clock.now_s += CACHE_S - 0.01
    assert ring.holder(key.text) is not None
    clock.now_s += 0.01
    assert ring.holder(key.text) is None
    assert CACHE_S <= 5.0


def test_a_key_revoked_by_this_process_is_refused_at_once(store: Database) -> None:
    """The ring is told to forget it."""
    key = made(store)
    ring = KeyRing(store, clock=Clock())
    assert ring.holder(key.text) is not None
    with store.write() as connection:
        revoke(connection, key.id)
    ring.forget(key.id)
    assert ring.holder(key.text) is None


def test_a_new_key_is_good_at_once(store: Database) -> None:
    """Also where others are remembered: nothing has to run out first."""
    ring = KeyRing(store, clock=Clock())
    assert ring.holder(made(store).text) is not None
    assert ring.holder(made(store).text) is not None


def test_a_flood_of_made_up_ids_does_not_fill_the_memory(store: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """At most so many ids are remembered."""
    monkeypatch.setattr("api.keys.key_ring._MOST_REMEMBERED", 10)
    ring = KeyRing(store)
    for _ in range(35):
        ring.holder(new_key_text().text)
    assert len(ring._found) <= 10


def test_use_is_written_by_the_flush_and_never_by_a_request(store: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing before the flush; then once, and again only for a use more than a minute later."""
    key, ring, writes, write = made(store), KeyRing(store), [], store.write
    monkeypatch.setattr(store, "write", lambda: writes.append(1) or write())
    ring.flush()
    for _ in range(10):
        ring.holder(key.text)
    assert (writes, row_of(store, key.id).last_used_at) == ([], None)
    for _ in range(3):
        ring.flush()
        ring.holder(key.text)
    first = row_of(store, key.id).last_used_at
    assert len(writes) == 1
    assert first == pytest.approx(now(), abs=timedelta(seconds=10))
    ring._used[key.id] = first + timedelta(seconds=61)
    ring.flush()
    assert row_of(store, key.id).last_used_at == first + timedelta(seconds=61)


def test_an_older_use_does_not_overwrite_a_newer_one(store: Database) -> None:
    """Two services on one store: the later use stands, whoever writes last."""
    key, ring = made(store), KeyRing(store)
    ring.holder(key.text)
    newer = now() + timedelta(minutes=1)
    with store.write() as connection:
        connection.execute(update(api_keys).values(last_used_at=newer))
    ring.flush()
    assert row_of(store, key.id).last_used_at == newer
