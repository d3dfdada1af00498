"""Which error becomes which problem. An error that is not listed here is answered by the outermost layer."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator
from dataclasses import replace
from types import NoneType
from typing import Any, cast, get_args

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from pydantic_core import ErrorDetails
from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import BaseRoute, Match

from api.http.once import RepeatedError
from api.http.problem import Problem, ProblemError, unavailable
from api.http.problem_kinds import (
    BEYOND_LIMITS,
    INTERNAL,
    MALFORMED,
    METHOD_NOT_ALLOWED,
    NOT_FOUND,
    UNUSABLE,
)
from api.readers.pool import BeyondLimitsError, NoReaderError
from api.store.pages import CursorError
from optimiser.case.say_found import say_found
from optimiser.case.shape_faults import shape_faults
from optimiser.errors import InputError

log = logging.getLogger(__name__)

_MOST_TOLD = 200
"""Faults of a body or query; more would only make a long answer."""


def install_problem_handlers(app: FastAPI) -> None:
    app.add_exception_handler(Problem, lambda _request, error: _problem(error).response())
    app.add_exception_handler(
        HTTPException, lambda request, error: _from_framework(request, error).response()
    )
    app.add_exception_handler(
        RequestValidationError, lambda request, error: _from_parameters(request, error).response()
    )
    app.add_exception_handler(InputError, lambda _request, error: from_input_error(error).response())
    app.add_exception_handler(CursorError, lambda _request, error: _from_cursor(error).response())
    app.add_exception_handler(RepeatedError, lambda _request, error: _repeated(error))
    app.add_exception_handler(BeyondLimitsError, lambda _request, error: _beyond_limits(error).response())
    app.add_exception_handler(NoReaderError, lambda _request, error: _not_now(error).response())
    app.add_exception_handler(DBAPIError, _store_does_not_answer)


def from_input_error(error: Exception) -> Problem:
    assert isinstance(error, InputError)
    count = len(error.faults)
    detail = (
        "One thing in the request must be mended."
        if count == 1
        else f"{count} things in the request must be mended."
    )
    return Problem(UNUSABLE, detail, errors=map(ProblemError.from_fault, error.faults))


def _problem(error: Exception) -> Problem:
    assert isinstance(error, Problem)
    return error


def _from_framework(request: Request, error: Exception) -> Problem:
    assert isinstance(error, HTTPException)
    if error.status_code == 404:
        return Problem(NOT_FOUND, "No route has this address; GET /openapi.json lists them all.")
    if error.status_code == 405:
        return Problem(
            METHOD_NOT_ALLOWED,
            f"{request.method} is not possible at this address.",
            headers={"Allow": ", ".join(sorted(_methods_at(request)))},
        )
    if error.status_code < 500:
        return Problem(MALFORMED, error.detail)
    return Problem(INTERNAL, "The request could not be answered.")


def _methods_at(request: Request) -> set[str]:
    """All that any route takes at this address; the framework names only those of the first.

    HEAD goes wherever GET does.
    """
    routes: list[BaseRoute] = request.app.state.routes
    here = [route for route in routes if route.matches(request.scope)[0] is not Match.NONE]
    methods = {method for route in here for method in getattr(route, "methods", None) or ()}
    return methods | {"HEAD"} if "GET" in methods else methods


def _from_parameters(request: Request, error: Exception) -> Problem:
    assert isinstance(error, RequestValidationError)
    found = error.errors()[:_MOST_TOLD]
    if any(each["loc"][0] == "path" for each in found):
        return Problem(NOT_FOUND, "This is not an address that this service gives out.")
    if any(each["loc"][0] == "body" for each in found):
        return Problem(UNUSABLE, "The body cannot be used.", errors=_body_errors(request, error.body, found))
    errors = [
        ProblemError(
            pointer="",
            parameter=str(each["loc"][-1]),
            found=say_found(each["input"]),
            expected=_expected(each),
            remedy=f"mend or leave out this {_PLACES.get(str(each['loc'][0]), 'parameter')}",
        )
        for each in found
    ]
    return Problem(UNUSABLE, "A parameter cannot be used.", errors=errors)


_PLACES = {"query": "query parameter", "header": "header"}


def _body_errors(request: Request, body: object, found: Iterable[dict[str, Any]]) -> Iterator[ProblemError]:
    """In the words in which a case is refused, by the shape of the document that this address takes."""
    asked = request.scope["route"].body_field.field_info.annotation
    (shape,) = (one for one in get_args(asked) or (asked,) if one is not NoneType)
    details = [cast(ErrorDetails, each | {"loc": each["loc"][1:]}) for each in found]
    for fault in shape_faults(shape, body, details):
        remedy = fault.remedy or "GET /openapi.json describes this document"
        yield ProblemError.from_fault(replace(fault, remedy=remedy))


def _expected(each: dict[str, Any]) -> str:
    """Of a parameter: what a validator of ours said, or the words of another from where they name what is right."""
    if each["type"] == "missing":
        return "a value"
    return str(each["ctx"]["error"]) if each["type"] == "value_error" else each["msg"].removeprefix("Input should be ")


def _repeated(error: Exception) -> Response:
    assert isinstance(error, RepeatedError)
    return error.response


def _beyond_limits(error: Exception) -> Problem:
    return Problem(BEYOND_LIMITS, f"The document was not dealt with: {error}.")


def _not_now(error: Exception) -> Problem:
    return unavailable(f"The document was not dealt with: {error}.")


def _from_cursor(error: Exception) -> Problem:
    fault = ProblemError(
        pointer="",
        parameter="cursor",
        found=str(error),
        expected="`next_cursor` of an earlier page",
        remedy="leave the cursor out to begin with the newest",
    )
    return Problem(UNUSABLE, "The cursor cannot be used.", errors=[fault])


def _store_does_not_answer(_request: Request, error: Exception) -> Response:
    log.error("the store does not answer", exc_info=error)
    return unavailable("The store does not answer; nothing of this request was kept.").response()
