"""Which error becomes which problem. An error that is not listed here is answered by the outermost layer."""

from __future__ import annotations

import logging

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from api.http.problem import Problem, ProblemError
from api.http.problem_kinds import (
    INTERNAL,
    MALFORMED,
    METHOD_NOT_ALLOWED,
    NOT_FOUND,
    UNAVAILABLE,
    UNUSABLE,
)
from api.store.pages import CursorError
from optimiser.errors import InputError

log = logging.getLogger(__name__)

_LONGEST_FOUND = 80


def install_problem_handlers(app: FastAPI) -> None:
    app.add_exception_handler(Problem, lambda _request, error: _problem(error).response())
    app.add_exception_handler(
        HTTPException, lambda request, error: _from_framework(request, error).response()
    )
    app.add_exception_handler(
        RequestValidationError, lambda _request, error: _from_parameters(error).response()
    )
    app.add_exception_handler(InputError, lambda _request, error: from_input_error(error).response())
    app.add_exception_handler(CursorError, lambda _request, error: _from_cursor(error).response())
    app.add_exception_handler(OperationalError, _store_does_not_answer)


def from_input_error(error: Exception) -> Problem:
    assert isinstance(error, InputError)
    count = len(error.faults)
    detail = (
        "One thing in the case must be mended."
        if count == 1
        else f"{count} things in the case must be mended."
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
            METHOD_NOT_ALLOWED, f"{request.method} is not possible at this address.", headers=error.headers
        )
    if error.status_code < 500:
        return Problem(MALFORMED, error.detail)
    return Problem(INTERNAL, "The request could not be answered.")


def _from_parameters(error: Exception) -> Problem:
    assert isinstance(error, RequestValidationError)
    found = error.errors()
    if any(each["loc"][0] == "path" for each in found):
        return Problem(NOT_FOUND, "This is not an address that this service gives out.")
    errors = [
        ProblemError(
            pointer="",
            parameter=str(each["loc"][-1]),
            found=_shortened(each["input"]),
            expected=each["msg"],
            remedy="mend or leave out this query parameter",
        )
        for each in found
    ]
    return Problem(UNUSABLE, "A query parameter cannot be used.", errors=errors)


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


def unavailable(detail: str) -> Problem:
    return Problem(UNAVAILABLE, detail, headers={"Retry-After": "5"})


def _shortened(value: object) -> str:
    text = str(value)
    return text if len(text) <= _LONGEST_FOUND else text[:_LONGEST_FOUND] + "…"
