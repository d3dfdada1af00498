"""Take a question in: within the caller's transaction, so that it stands in the store with all that belongs to it."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from uuid import uuid4

from sqlalchemy import Connection, select, text

from api.jobs.states import MAY_SUCCEED, JobKind, JobState, record
from api.store.insert_once import insert_once
from api.store.instants import now
from api.store.tables import jobs


@dataclass(frozen=True, kw_only=True)
class Question:
    kind: JobKind
    software_version: str
    case_digest: str | None = None
    sequence: str | None = None
    """JSON of the sequence that a check is to play."""
    once: str = ""
    """Makes a question of its own of one that must not meet an earlier answer."""

    @property
    def digest(self) -> str:
        """Equal questions have equal answers, so they have one job."""
        said = (self.kind, self.software_version, self.case_digest or "", self.sequence or "", self.once)
        return sha256("\0".join(said).encode()).hexdigest()


def submit(connection: Connection, question: Question, *, by: str | None) -> str:
    """Return the id of the job that answers this question.

    The same question asked again meets the job already there; only after that one failed or was cancelled is a new
    one made.
    """
    if (found := standing_job(connection, question)) is not None:
        return found
    job_id, at = f"job_{uuid4().hex}", now()
    is_new = insert_once(
        connection,
        jobs,
        id=job_id,
        kind=question.kind,
        question=question.digest,
        case_digest=question.case_digest,
        sequence=question.sequence,
        software_version=question.software_version,
        state=JobState.QUEUED,
        phase="waiting",
        fraction=0.0,
        created_at=at,
        updated_at=at,
        created_by=by,
    )
    if not is_new:  # asked by somebody else between the look and the insert
        found = standing_job(connection, question)
        assert found is not None
        return found
    record(connection, job_id, before=None, to=JobState.QUEUED, reason="submitted")
    return job_id


def standing_job(connection: Connection, question: Question) -> str | None:
    """The job that answers the question, or will; None: there is none that may succeed."""
    standing = select(jobs.c.id).where(jobs.c.question == question.digest, text(MAY_SUCCEED))
    return connection.execute(standing).scalar_one_or_none()
