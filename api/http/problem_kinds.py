"""Every kind of problem that this service reports, each with a stable address that explains it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class ProblemKind:
    slug: str
    status: int
    title: str
    meaning: str

    @property
    def type(self) -> str:
        """The `type` of RFC 9457, relative to this service."""
        return f"/v1/problems/{self.slug}"


MALFORMED = ProblemKind(
    slug="malformed-request",
    status=400,
    title="The request cannot be read",
    meaning="The request breaks the rules of HTTP, so nothing in it was looked at.",
)
UNAUTHENTICATED = ProblemKind(
    slug="unauthenticated",
    status=401,
    title="A key is needed",
    meaning="Send the header 'Authorization: Bearer' with a key that is good now. "
    "Whoever runs the service makes one: tapcall keys add NAME --scope submit",
)
NOT_ALLOWED = ProblemKind(
    slug="not-allowed",
    status=403,
    title="The key does not allow this",
    meaning="Of the scopes read, submit and operate each includes those before it; `detail` names the one it takes.",
)
NOT_FOUND = ProblemKind(
    slug="not-found",
    status=404,
    title="There is nothing at this address",
    meaning="No route, job, layout or plan has this address. Follow the links of other documents.",
)
METHOD_NOT_ALLOWED = ProblemKind(
    slug="method-not-allowed",
    status=405,
    title="This address does not take this method",
    meaning="The header Allow of the answer lists the methods that it takes.",
)
TOO_SLOW = ProblemKind(
    slug="too-slow",
    status=408,
    title="The request did not come to its end in time",
    meaning="A request must arrive whole within a minute, its head within 15 seconds. Nothing of this one was kept.",
)
HEAD_TOO_LONG = ProblemKind(
    slug="head-too-long",
    status=431,
    title="The head of the request is too long",
    meaning="Its first line and its header fields together may have 64 kB (RFC 6585, 5). Nothing in it was looked at.",
)
TOO_LARGE = ProblemKind(
    slug="too-large",
    status=413,
    title="The body is too long",
    meaning="Bodies are read up to a set length only. A coarser surface mesh usually shortens one.",
)
WRONG_MEDIA_TYPE = ProblemKind(
    slug="wrong-media-type",
    status=415,
    title="The body is of a kind that is not read here",
    meaning="Documents are sent as application/json, layouts and resins also as application/yaml; never compressed.",
)
WRONG_HOST = ProblemKind(
    slug="wrong-host",
    status=421,
    title="The request was meant for another host",
    meaning="A service on the loopback address answers only to the names of this machine.",
)
UNUSABLE = ProblemKind(
    slug="unusable",
    status=422,
    title="The input cannot be used as it stands",
    meaning="Each entry of `errors` names one place, what is there, what is expected, and what to try.",
)
CHANGED_MEANWHILE = ProblemKind(
    slug="changed-meanwhile",
    status=412,
    title="Somebody else has changed this meanwhile",
    meaning="If-Match names a revision that is not the newest any more. Read the newest, and change that one.",
)
PRECONDITION_MISSING = ProblemKind(
    slug="precondition-missing",
    status=428,
    title="Say which revision you have seen",
    meaning="A change needs the header If-Match with the ETag that came with the document, so that none is lost.",
)
KEY_REUSED = ProblemKind(
    slug="key-reused",
    status=422,
    title="The Idempotency-Key came with another request before",
    meaning="A key stands for one request. Make a new one for each, and send the same only to repeat a request.",
)
SHOWN_ONCE = ProblemKind(
    slug="shown-once",
    status=409,
    title="The answer held a secret and is not given twice",
    meaning="The first request did its work. If its answer was lost, end what it made, or rotate its secret.",
)
BEYOND_LIMITS = ProblemKind(
    slug="beyond-limits",
    status=422,
    title="The document takes more than the service gives to one",
    meaning="Reading or drawing it was ended by a limit of time or memory. The settings of the service name them.",
)
ENDED = ProblemKind(
    slug="ended",
    status=409,
    title="It has ended, and stays so",
    meaning="What was revoked or has run out is kept for the audit only. Make a new one.",
)
WITHDRAWN = ProblemKind(
    slug="already-withdrawn",
    status=409,
    title="The plan was withdrawn before, for another reason",
    meaning="That reason stays, since printed sheets may carry it; `detail` has it. To give another, reinstate first.",
)
QUEUE_FULL = ProblemKind(
    slug="queue-full",
    status=503,
    title="Too many jobs are waiting",
    meaning="Nothing of this request was kept. Try again after the seconds in the header Retry-After.",
)
TOO_MANY = ProblemKind(
    slug="too-many-requests",
    status=429,
    title="Too many requests in a minute",
    meaning="The service answers so many a minute for one key. Go on after the seconds in the header Retry-After.",
)
NOT_CONVERGED = ProblemKind(
    slug="not-converged",
    status=500,
    title="The computation stopped without an answer that may be believed",
    meaning="The case was read, but a computation did not settle. Report the request id or the job id.",
)
PROCESS_DIED = ProblemKind(
    slug="process-died",
    status=500,
    title="The work broke off more than once",
    meaning="The process that worked on this job died each time. Asking again starts a new job.",
)
INTERNAL = ProblemKind(
    slug="internal",
    status=500,
    title="The service made a mistake",
    meaning="The fault is ours. The log of the service has the cause under the request id.",
)
UNAVAILABLE = ProblemKind(
    slug="unavailable",
    status=503,
    title="The service cannot answer at the moment",
    meaning="The store is busy, full or not ready, or the machine has too much to do. "
    "Try again after the seconds in the header Retry-After.",
)

KINDS = {
    kind.slug: kind
    for kind in (
        MALFORMED,
        UNAUTHENTICATED,
        NOT_ALLOWED,
        NOT_FOUND,
        METHOD_NOT_ALLOWED,
        TOO_SLOW,
        HEAD_TOO_LONG,
        TOO_LARGE,
        WRONG_MEDIA_TYPE,
        WRONG_HOST,
        CHANGED_MEANWHILE,
        PRECONDITION_MISSING,
        KEY_REUSED,
        SHOWN_ONCE,
        ENDED,
        WITHDRAWN,
        BEYOND_LIMITS,
        QUEUE_FULL,
        UNUSABLE,
        TOO_MANY,
        NOT_CONVERGED,
        PROCESS_DIED,
        INTERNAL,
        UNAVAILABLE,
    )
}
