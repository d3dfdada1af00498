"""Bytes that are no HTTP request never reach the application; they get a problem document all the same."""

from __future__ import annotations

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from api.http.problem import MEDIA_TYPE, Problem
from api.http.problem_kinds import MALFORMED


class ProblemProtocol(H11Protocol):
    """The server's own protocol, but for the body of the one answer that it gives by itself."""

    def send_400_response(self, msg: str) -> None:
        content = Problem(MALFORMED, msg).document().model_dump_json(exclude_none=True).encode()
        headers = [
            ("Content-Type", MEDIA_TYPE),
            ("Content-Length", str(len(content))),
            ("Connection", "close"),
            ("X-Content-Type-Options", "nosniff"),
        ]
        answer = (
            h11.Response(status_code=MALFORMED.status, headers=headers, reason=b"Bad Request"),
            h11.Data(data=content),
            h11.EndOfMessage(),
        )
        for event in answer:
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()
