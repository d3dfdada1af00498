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
    meaning="A case is sent as application/json or application/yaml, not compressed.",
)
WRONG_HOST = ProblemKind(
    slug="wrong-host",
    status=421,
    title="The request was meant for another host",
    meaning="Having no keys, a service on the loopback address answers only to the names of this machine.",
)
UNUSABLE = ProblemKind(
    slug="unusable",
    status=422,
    title="The input cannot be used as it stands",
    meaning="Each entry of `errors` names one place, what is there, what is expected, and what to try.",
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
    title="Planning broke off more than once",
    meaning="The process that planned this case died each time. Sending the case again starts a new job.",
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
    meaning="The store is busy, full or not ready. Try again after the seconds in the header Retry-After.",
)

KINDS = {
    kind.slug: kind
    for kind in (
        MALFORMED,
        NOT_FOUND,
        METHOD_NOT_ALLOWED,
        TOO_LARGE,
        WRONG_MEDIA_TYPE,
        WRONG_HOST,
        UNUSABLE,
        NOT_CONVERGED,
        PROCESS_DIED,
        INTERNAL,
        UNAVAILABLE,
    )
}
