"""Keys: made, listed, rotated, revoked. Idempotency-Key is not taken: a kept reply would keep the key's text."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Response

from api.http.answers import LOCATION, NOT_STORED, Answers, answer
from api.http.caller import Operates
from api.http.identifiers import KeyId
from api.http.json_body import JsonRoute
from api.http.key_document import KeyDocument, KeyPage, KeyRequest, NewKeyDocument
from api.http.not_found import found
from api.http.paging import Paging
from api.http.problem import Problem
from api.http.problem_answers import HAS_ENDED
from api.http.problem_kinds import ENDED, NOT_FOUND
from api.http.state import Ring, Store
from api.keys.keys import KeyEndedError, find_key, list_keys, make, revoke, rotate

router = APIRouter(prefix="/v1/keys", tags=["keys"], route_class=JsonRoute)

_A_DAY_S = 86_400
_SHOWN_ONCE = {"Cache-Control": "no-store"}
_MADE: Answers = {201: answer("The key with its text", LOCATION, NOT_STORED)}

Overlap = Annotated[int, Query(ge=0, le=30 * _A_DAY_S, description="So many seconds the old key is still good.")]


@router.get("", response_model_exclude_none=True)
def get_keys(_: Operates, paging: Paging, store: Store) -> KeyPage:
    """All keys without their texts, newest first; ended ones too."""
    with store.read() as connection:
        page = list_keys(connection, limit=paging.limit, cursor=paging.cursor)
    items = [KeyDocument.from_row(row) for row in page.rows]
    link = paging.next_link("/v1/keys", page.next_cursor)
    return KeyPage(items=items, next_cursor=page.next_cursor, next=link)


@router.post("", status_code=201, response_model_exclude_none=True, responses=_MADE)
def post_key(caller: Operates, asked: KeyRequest, store: Store, response: Response) -> NewKeyDocument:
    """Make a key. The answer is the only place where its text is ever shown."""
    with store.write() as connection:
        key = make(connection, name=asked.name, scopes=asked.scopes, expires_at=asked.expires_at)
        caller.note(connection, "key.add", key.id)
        row = found(find_key(connection, key.id))
    response.headers.update({"Location": f"/v1/keys/{key.id}", **_SHOWN_ONCE})
    return NewKeyDocument.of(row, key)


@router.get("/{key_id}", response_model_exclude_none=True)
def get_key(_: Operates, key_id: KeyId, store: Store) -> KeyDocument:
    """One key without its text."""
    with store.read() as connection:
        return KeyDocument.from_row(found(find_key(connection, key_id)))


@router.delete("/{key_id}", status_code=204, responses={204: answer("The key is revoked")})
def delete_key(caller: Operates, key_id: KeyId, store: Store, ring: Ring) -> None:
    """Revoke a key. Other processes of the service refuse it after 5 s at the latest. Its row stays for the audit."""
    with store.write() as connection:
        if not revoke(connection, key_id):
            raise _no_such_key()
        caller.note(connection, "key.revoke", key_id)
    ring.forget(key_id)


@router.post("/{key_id}/rotate", status_code=201, response_model_exclude_none=True, responses=_MADE | HAS_ENDED)
def rotate_key(
    caller: Operates, key_id: KeyId, store: Store, ring: Ring, response: Response, overlap_s: Overlap = _A_DAY_S
) -> NewKeyDocument:
    """A new key in place of this one, which goes on for the overlap, so that its holder can change over."""
    with store.write() as connection:
        try:
            key = rotate(connection, key_id, overlap_s=overlap_s)
        except KeyEndedError as error:
            raise Problem(ENDED, str(error)) from error
        if key is None:
            raise _no_such_key()
        caller.note(connection, "key.rotate", key_id)
        caller.note(connection, "key.add", key.id)
        row = found(find_key(connection, key.id))
    ring.forget(key_id)
    response.headers.update({"Location": f"/v1/keys/{key.id}", **_SHOWN_ONCE})
    return NewKeyDocument.of(row, key)


def _no_such_key() -> Problem:
    return Problem(NOT_FOUND, "No key has this id.")
