"""Take a layout in: the layout and its job stand in the store together or not at all."""

from __future__ import annotations

from uuid import uuid4

from sqlalchemy import insert, select

from api.jobs.states import JobState, record
from api.store.database import Database
from api.store.instants import now
from api.store.layouts import NewLayout, keep_layout
from api.store.tables import jobs


def submit(database: Database, layout: NewLayout, *, software_version: str) -> str:
    """Return the id of the job that plans this layout with this version of the program.

    The same content sent again meets the job already there; only after that one failed is a new one made.
    """
    with database.write() as connection:
        keep_layout(connection, layout)
        standing = connection.execute(
            select(jobs.c.id).where(
                jobs.c.layout_digest == layout.digest,
                jobs.c.software_version == software_version,
                jobs.c.state != JobState.FAILED,
            )
        ).scalar_one_or_none()
        if standing is not None:
            return str(standing)
        job_id, at = f"job_{uuid4().hex}", now()
        connection.execute(
            insert(jobs).values(
                id=job_id,
                layout_digest=layout.digest,
                software_version=software_version,
                state=JobState.QUEUED,
                phase="waiting",
                fraction=0.0,
                created_at=at,
                updated_at=at,
            )
        )
        record(connection, job_id, before=None, to=JobState.QUEUED, reason="submitted")
        return job_id
