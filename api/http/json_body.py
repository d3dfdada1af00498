"""A JSON document as the body of a request, read by this service's own rules before the framework sees it.

A body that nests without end, says a key twice or holds half a letter would else come as far as the readers.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from fastapi.routing import APIRoute
from starlette.concurrency import run_in_threadpool

from api.http.problem import Problem
from api.http.problem_handlers import from_input_error
from api.http.problem_kinds import WRONG_MEDIA_TYPE
from optimiser.case.plain_data import refuse_odd_values, unreadable
from optimiser.case.read_json import data_of_json
from optimiser.errors import InputError

_MEDIA_TYPE = "application/json"


class JsonRoute(APIRoute):
    """A route whose body, where it has one, is such a document."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        handle = super().get_route_handler()
        if self.body_field is None:
            return handle

        async def read_first(request: Request) -> Response:
            whole = _JsonRequest(request.scope, request.receive)
            if await whole.body():
                _refuse_other_media_type(whole)
            return await handle(whole)

        return read_first


class _JsonRequest(Request):
    async def json(self) -> Any:
        try:
            return await run_in_threadpool(_data, await self.body())
        except InputError as error:
            raise from_input_error(error) from error


def _data(body: bytes) -> object:
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise unreadable(f"a byte at {error.start} that is not UTF-8", "JSON in UTF-8") from error
    data = data_of_json(text)
    refuse_odd_values(data)
    return data


def _refuse_other_media_type(request: Request) -> None:
    sent = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if sent != _MEDIA_TYPE:
        headers = {"Accept-Post": _MEDIA_TYPE}
        raise Problem(WRONG_MEDIA_TYPE, f"The body was sent as '{sent}'; send {_MEDIA_TYPE}.", headers=headers)
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Problem(WRONG_MEDIA_TYPE, "The body is compressed; send it as it is.")
