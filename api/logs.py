"""Log lines on stderr: one JSON object each, with the id of the request or the job it is about, never with a key."""

from __future__ import annotations

import json
import logging
import sys
import threading
from collections.abc import Mapping
from contextvars import ContextVar
from datetime import UTC, datetime

from api.keys.key_text import without_secrets

request_id: ContextVar[str | None] = ContextVar("request_id", default=None)

_STANDARD = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "color_message"}
_encode = json.JSONEncoder(default=str).encode


class JsonLines(logging.Formatter):
    """Time, level, logger, message, what all lines of this process say, then whatever was passed as `extra`."""

    def __init__(self, always: Mapping[str, object] | None = None) -> None:
        super().__init__()
        self._always = dict(always or {})

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **self._always,
        }
        if (of_request := request_id.get()) is not None:
            line["request_id"] = of_request
        line |= {key: value for key, value in vars(record).items() if key not in _STANDARD}
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return without_secrets(_encode(line))


def log_to_stderr(level: str, **always: object) -> None:
    """From here on warnings and threads that break off make such lines too; `always` stands in each line."""
    _record_only_what_is_written()
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines(always))
    logging.basicConfig(level=level.upper(), handlers=[handler], force=True)
    for chatty in ("alembic", "httpx"):  # httpx would write addresses of receivers, tokens and all
        logging.getLogger(chatty).setLevel(logging.WARNING)
    logging.captureWarnings(True)
    threading.excepthook = _log_end_of_thread


def _record_only_what_is_written() -> None:
    """Each request is a line, and finding out what no line says takes half of its time (Python's logging HOWTO)."""
    logging.logThreads = logging.logProcesses = logging.logMultiprocessing = False
    logging._srcfile = None


def _log_end_of_thread(ended: threading.ExceptHookArgs) -> None:
    if ended.exc_value is None or isinstance(ended.exc_value, SystemExit):
        return
    extra = {"of_thread": None if ended.thread is None else ended.thread.name}
    trace = (ended.exc_type, ended.exc_value, ended.exc_traceback)
    logging.getLogger(__name__).error("a thread broke off", extra=extra, exc_info=trace)
