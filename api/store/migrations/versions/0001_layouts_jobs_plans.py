"""Layouts, jobs with their attempts and events, plans."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from api.store.instants import Instant

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "layouts",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("source", sa.LargeBinary, nullable=False),
        sa.Column("created_at", Instant, nullable=False),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("layout_digest", sa.String(64), sa.ForeignKey("layouts.digest"), nullable=False),
        sa.Column("software_version", sa.String(64), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("phase", sa.Text, nullable=False),
        sa.Column("fraction", sa.Float, nullable=False),
        sa.Column("best_wet_out_s", sa.Float),
        sa.Column("error", sa.Text),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("updated_at", Instant, nullable=False),
        sa.CheckConstraint("state IN ('queued', 'running', 'succeeded', 'failed')", name="known_state"),
        sa.CheckConstraint("(state = 'failed') = (error IS NOT NULL)", name="failed_says_why"),
    )
    op.create_index("jobs_newest", "jobs", ["created_at", "id"])
    op.create_index("jobs_by_state", "jobs", ["state", "created_at"])
    op.create_index(
        "one_job_for_a_layout",
        "jobs",
        ["layout_digest", "software_version"],
        unique=True,
        sqlite_where=sa.text("state <> 'failed'"),
        postgresql_where=sa.text("state <> 'failed'"),
    )
    op.create_table(
        "attempts",
        sa.Column("token", sa.String(32), primary_key=True),
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("started_at", Instant, nullable=False),
        sa.Column("lease_until", Instant, nullable=False),
        sa.Column("ended_at", Instant),
        sa.Column("outcome", sa.String(16)),
        sa.Column("reason", sa.Text),
        sa.CheckConstraint("(ended_at IS NULL) = (outcome IS NULL)", name="ended_with_outcome"),
    )
    op.create_index(
        "one_running_attempt",
        "attempts",
        ["job_id"],
        unique=True,
        sqlite_where=sa.text("outcome IS NULL"),
        postgresql_where=sa.text("outcome IS NULL"),
    )
    op.create_index("attempts_of_a_job", "attempts", ["job_id", "number"])
    op.create_table(
        "job_events",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("at", Instant, nullable=False),
        sa.Column("from_state", sa.String(16)),
        sa.Column("to_state", sa.String(16), nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
    )
    op.create_index("events_of_a_job", "job_events", ["job_id", "id"])
    op.create_table(
        "plans",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.id"), nullable=False, unique=True),
        sa.Column("layout_digest", sa.String(64), sa.ForeignKey("layouts.digest"), nullable=False),
        sa.Column("verdict", sa.String(32), nullable=False),
        sa.Column("wet_out_s", sa.Float),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("created_at", Instant, nullable=False),
    )
    op.create_index("plans_newest", "plans", ["created_at", "id"])
    op.create_index("plans_of_a_layout", "plans", ["layout_digest"])
