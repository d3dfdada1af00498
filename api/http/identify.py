"""Who asks: settled from the headers alone, before any of the body is read or any route is looked for."""

from __future__ import annotations

import logging

from sqlalchemy.exc import DBAPIError
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.caller import Caller
from api.http.problem import Problem, unavailable
from api.http.problem_kinds import TOO_MANY, UNAUTHENTICATED
from api.http.request_limit import RequestLimit
from api.keys.key_ring import Holder, KeyRing
from api.keys.scopes import ALL_SCOPES

log = logging.getLogger(__name__)

OPEN_TO_ALL = frozenset({"/livez", "/readyz"})


class Identify:
    """Wraps the application; what asks without a good key goes no further, but for health."""

    def __init__(self, app: ASGIApp, *, keys: KeyRing | None, limit: RequestLimit) -> None:
        """`keys` None: whoever asks may do everything."""
        self._app, self._keys, self._limit = app, keys, limit

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["path"] not in OPEN_TO_ALL:
            caller = await self._caller(scope)
            state = scope.setdefault("state", {})
            state["caller"], state["key_id"] = caller, caller.key_id
        await self._app(scope, receive, send)

    async def _caller(self, scope: Scope) -> Caller:
        address = "somewhere" if scope.get("client") is None else f"address {scope['client'][0]}"
        if self._keys is None:
            self._count(address)
            return Caller(key_id=None, scopes=ALL_SCOPES)
        kind, _, text = Headers(scope=scope).get("authorization", "").partition(" ")
        given = text.strip() if kind.lower() == "bearer" else ""
        holder = await _holder(self._keys, given) if given else None
        if holder is None:
            self._count(address)  # so that keys cannot be tried without end
            raise _bad_key() if given else _no_key(is_other=bool(kind))
        self._count(holder.key_id)
        return Caller(key_id=holder.key_id, scopes=holder.scopes)

    def _count(self, whom: str) -> None:
        wait_s = self._limit.take(whom)
        if wait_s is not None:
            detail = f"More than {self._limit.per_minute} requests in a minute."
            raise Problem(TOO_MANY, detail, headers={"Retry-After": str(wait_s)})


async def _holder(keys: KeyRing, text: str) -> Holder | None:
    if keys.answers_from_memory(text):
        return keys.holder(text)
    try:
        return await run_in_threadpool(keys.holder, text)
    except DBAPIError as error:  # no handler of the application is as far out as this
        log.error("the store does not answer, so no key can be looked up", exc_info=error)
        raise unavailable("The store does not answer, so the key could not be looked up.") from error


_MAKE_ONE = "On the machine of the service and with its data folder, 'tapcall keys add NAME --scope submit' makes one."


def _no_key(*, is_other: bool) -> Problem:
    """Without an error code, as RFC 6750, 3.1, asks where no key came at all."""
    there = "There is a header Authorization, but not of this form. " if is_other else ""
    return Problem(
        UNAUTHENTICATED,
        f"Send a key: 'Authorization: Bearer tapcall_...'. {there}{_MAKE_ONE}",
        headers={"WWW-Authenticate": 'Bearer realm="tapcall"'},
    )


def _bad_key() -> Problem:
    return Problem(
        UNAUTHENTICATED,
        f"The key is not known here, has expired or was revoked; 'tapcall keys list' shows which are good. {_MAKE_ONE}",
        headers={"WWW-Authenticate": 'Bearer realm="tapcall", error="invalid_token"'},
    )
