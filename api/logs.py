"""Log lines on stderr: one JSON object each, with the request's id where there is a request, never with a key."""

from __future__ import annotations

import json
import logging
import sys
from contextvars import ContextVar
from datetime import UTC, datetime

from api.keys.key_text import without_secrets

request_id: ContextVar[str | None] = ContextVar("request_id", default=None)

_STANDARD = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "color_message"}


class JsonLines(logging.Formatter):
    """Time, level, logger, message, then whatever was passed as `extra`."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        if (of_request := request_id.get()) is not None:
            line["request_id"] = of_request
        line |= {key: value for key, value in vars(record).items() if key not in _STANDARD}
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return without_secrets(json.dumps(line, default=str))


def log_to_stderr(level: str) -> None:
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=level.upper(), handlers=[handler], force=True)
    for chatty in ("alembic", "httpx"):  # httpx would write addresses of receivers, tokens and all
        logging.getLogger(chatty).setLevel(logging.WARNING)
