"""A client that asks for runs, each with an Idempotency-Key of its own, and repeats what was not answered."""

from __future__ import annotations

import json
from collections import Counter
from http.client import HTTPConnection, HTTPException
from typing import Any

from benchmarks.durability.services import Running
from benchmarks.durability.waiting import wait_until

_LONGEST_ANSWER_S = 120.0


class AskingClient:
    """`number` of `of` clients: no two ask for the same."""

    def __init__(self, number: int, of: int) -> None:
        self._number, self._of, self._turn = number, of, 0
        self._unanswered: float | None = None
        self.jobs: dict[float, str] = {}
        """What the service promised: by gel time, the job."""
        self.replayed = 0
        """Answers that had been made before, and were lost on their way."""
        self.statuses: Counter[int] = Counter()
        self.wrong: list[str] = []

    def ask_until_it_breaks(self, service: Running, *, most: int | None = None) -> None:
        """Returns once the connection is lost, or after so many answers."""
        connection = HTTPConnection(service.host, service.port, timeout=_LONGEST_ANSWER_S)
        try:
            while most is None or most > 0:
                self.ask_once(connection)
                most = None if most is None else most - 1
        except (OSError, HTTPException):
            return
        finally:
            connection.close()

    def settle(self, service: Running) -> None:
        """Have what was refused for now accepted."""
        connection = HTTPConnection(service.host, service.port, timeout=_LONGEST_ANSWER_S)
        wait_until(lambda: self._unanswered is None or self.ask_once(connection) == 202, "a request to be accepted")
        connection.close()

    def ask_once(self, connection: HTTPConnection) -> int:
        """The status of the answer; what was refused for now is asked again the next time."""
        if self._unanswered is None:
            self._unanswered = 60.0 + (self._turn * self._of + self._number) / 1000
            self._turn += 1
        asked = self._unanswered
        change = {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": asked}}
        headers = {"Content-Type": "application/json", "Idempotency-Key": f"run {asked:.3f}"}
        connection.request("POST", "/v1/revalidations", json.dumps({"change": change}), headers)
        answer = connection.getresponse()
        body = json.loads(answer.read())
        self.statuses[answer.status] += 1
        if answer.status == 202:
            self.jobs[asked], self._unanswered = body["job_id"], None
            self.replayed += answer.headers.get("Idempotent-Replayed") == "true"
        else:
            self._check_refusal(answer.status, dict(answer.headers), body)
        return answer.status

    def _check_refusal(self, status: int, headers: dict[str, str], body: dict[str, Any]) -> None:
        """Only 'not now', as a problem document that says when to try again."""
        lower = {name.lower(): value for name, value in headers.items()}
        as_promised = (
            status == 503
            and lower.get("content-type", "").startswith("application/problem+json")
            and lower.get("retry-after", "").isdecimal()
            and body.get("type", "").endswith("/unavailable")
            and body.get("status") == status
        )
        if not as_promised:
            self.wrong.append(f"an answer that is no promise to go on: {status} {lower} {body}"[:400])
