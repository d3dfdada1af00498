"""Days and moments in documents: text as RFC 3339 writes them, moments in UTC."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Annotated, Final

from pydantic import BeforeValidator

_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_MOMENT: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|\+00:00)", re.ASCII)
_RIGHT_DAY: Final = "a day as year-month-day, for example 2031-04-09, in quotes"
_RIGHT_MOMENT: Final = "a moment in UTC as RFC 3339 writes it, for example 2031-04-09T05:40:00Z"


def _day(value: object) -> object:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    if isinstance(value, str) and _DAY.fullmatch(value):
        try:
            return date.fromisoformat(value)
        except ValueError as error:
            raise ValueError(_RIGHT_DAY) from error
    raise ValueError(_RIGHT_DAY)


def _moment(value: object) -> object:
    if isinstance(value, datetime) and value.utcoffset() is not None and not value.utcoffset():
        return value
    if isinstance(value, str) and _MOMENT.fullmatch(value):
        try:
            return datetime.fromisoformat(value)
        except ValueError as error:
            raise ValueError(_RIGHT_MOMENT) from error
    raise ValueError(_RIGHT_MOMENT)


Day = Annotated[date, BeforeValidator(_day)]
UtcMoment = Annotated[datetime, BeforeValidator(_moment)]
