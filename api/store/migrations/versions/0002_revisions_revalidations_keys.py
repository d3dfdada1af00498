"""Layouts and resins with revisions, whole cases, kinds of job, revalidations, keys, webhooks, audit.

What schema 0001 called a layout was a whole case: each becomes a case, and a layout with that one revision.

Long texts stand last in their tables: SQLite reads a row from its beginning, and through all of a text to get to what
stands behind it.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from api.store.instants import Instant

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_STATES = "state IN ('queued', 'running', 'succeeded', 'failed', 'cancelled')"
_MAY_SUCCEED = sa.text("state NOT IN ('failed', 'cancelled')")


def upgrade() -> None:
    _documents()
    _cases()
    _jobs()
    _plans()
    _revalidations()
    _keys()
    _webhooks()


def _documents() -> None:
    op.create_table(
        "documents",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("updated_at", Instant, nullable=False),
        sa.CheckConstraint("kind IN ('layout', 'resin')", name="known_document_kind"),
    )
    op.create_index("documents_newest", "documents", ["kind", "created_at", "id"])
    op.create_index("documents_by_name", "documents", ["kind", "name", "created_at", "id"])
    op.create_index("documents_by_digest", "documents", ["kind", "digest"])
    op.create_table(
        "revisions",
        sa.Column("document_id", sa.String(40), sa.ForeignKey("documents.id"), primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("created_by", sa.String(40)),
        sa.Column("source", sa.LargeBinary, nullable=False),
    )
    op.execute(
        "INSERT INTO documents (id, kind, name, revision, digest, created_at, updated_at) "
        "SELECT 'layout_' || substr(digest, 1, 32), 'layout', name, 1, digest, created_at, created_at FROM layouts"
    )
    op.execute(
        "INSERT INTO revisions (document_id, revision, digest, source, created_at) "
        "SELECT 'layout_' || substr(digest, 1, 32), 1, digest, source, created_at FROM layouts"
    )


def _cases() -> None:
    op.rename_table("layouts", "cases")
    columns: dict[str, sa.types.TypeEngine[Any]] = {
        "part_digest": sa.String(64),
        "resin_digest": sa.String(64),
        "settings_digest": sa.String(64),
        "layout_id": sa.String(40),
        "layout_revision": sa.Integer(),
        "resin_id": sa.String(40),
        "resin_revision": sa.Integer(),
        "batch": sa.Text(),
    }
    in_order = ("digest", "name", *columns, "created_at", "source")
    with op.batch_alter_table("cases", partial_reordering=[in_order]) as table:
        for name, kind in columns.items():
            table.add_column(sa.Column(name, kind))
        for role in ("layout", "resin"):
            table.create_foreign_key(
                f"{role}_of_case", "revisions", [f"{role}_id", f"{role}_revision"], ["document_id", "revision"]
            )
    op.execute("UPDATE cases SET layout_id = 'layout_' || substr(digest, 1, 32), layout_revision = 1")
    op.create_index("cases_of_a_layout", "cases", ["layout_id", "layout_revision"])


def _jobs() -> None:
    op.drop_index("one_job_for_a_layout", "jobs")
    with op.batch_alter_table("jobs") as table:
        table.alter_column("layout_digest", new_column_name="case_digest", nullable=True, existing_type=sa.String(64))
        table.add_column(sa.Column("kind", sa.String(16), nullable=False, server_default="plan"))
        table.add_column(sa.Column("question", sa.String(64), nullable=False, server_default=""))
        table.add_column(sa.Column("sequence", sa.Text))
        table.add_column(sa.Column("created_by", sa.String(40)))
        table.drop_constraint("known_state", type_="check")
        table.create_check_constraint("known_state", _STATES)
        table.create_check_constraint("known_job_kind", "kind IN ('plan', 'check', 'revalidation')")
    # An earlier answer is kept, but was given by another program: no question of this one equals it.
    op.execute("UPDATE jobs SET question = id")
    with op.batch_alter_table("jobs") as table:
        table.alter_column("kind", server_default=None, existing_type=sa.String(16))
        table.alter_column("question", server_default=None, existing_type=sa.String(64))
    op.create_index(
        "one_job_for_a_question",
        "jobs",
        ["question"],
        unique=True,
        sqlite_where=_MAY_SUCCEED,
        postgresql_where=_MAY_SUCCEED,
    )
    op.create_index("jobs_of_a_case", "jobs", ["case_digest", "created_at"])
    op.drop_index("jobs_by_state", "jobs")
    op.create_index("jobs_by_state", "jobs", ["state", "created_at", "id"])
    op.create_index("jobs_by_kind", "jobs", ["kind", "created_at", "id", "state"])
    op.create_index("jobs_by_change", "jobs", ["updated_at", "id"])


def _plans() -> None:
    with op.batch_alter_table("plans") as table:
        table.alter_column("layout_digest", new_column_name="case_digest", existing_type=sa.String(64))
        table.add_column(sa.Column("name", sa.Text))
        table.add_column(sa.Column("resin", sa.Text))
        table.add_column(sa.Column("batch", sa.Text))
        table.add_column(sa.Column("software_version", sa.String(64), nullable=False, server_default="0.1.0"))
        table.add_column(sa.Column("gel_margin_s", sa.Float))
        table.add_column(sa.Column("facts", sa.Text))
    op.execute(
        "UPDATE plans SET name = (SELECT name FROM cases WHERE cases.digest = plans.case_digest), "
        "software_version = (SELECT software_version FROM jobs WHERE jobs.id = plans.job_id)"
    )
    in_order = (
        *("id", "job_id", "case_digest", "name", "resin", "batch", "software_version", "verdict"),
        *("wet_out_s", "gel_margin_s", "sha256", "created_at", "facts", "document"),
    )
    with op.batch_alter_table("plans", partial_reordering=[in_order]) as table:
        table.alter_column("software_version", server_default=None, existing_type=sa.String(64))
    op.drop_index("plans_of_a_layout", "plans")
    op.create_index("plans_of_a_case", "plans", ["case_digest"])
    for column in ("name", "resin", "batch", "verdict"):
        op.create_index(f"plans_by_{column}", "plans", [column, "created_at", "id"])


def _revalidations() -> None:
    op.create_table(
        "revalidations",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.id"), nullable=False, unique=True),
        sa.Column("change", sa.Text, nullable=False),
        sa.Column("said", sa.Text, nullable=False),
        sa.Column("chosen", sa.Text, nullable=False),
        sa.Column("plan_again", sa.String(16), nullable=False),
        sa.Column("asked", sa.Integer, nullable=False),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("created_by", sa.String(40)),
        sa.CheckConstraint("plan_again IN ('never', 'invalid', 'all')", name="known_plan_again"),
    )
    op.create_index("revalidations_newest", "revalidations", ["created_at", "id"])
    op.create_table(
        "revalidation_items",
        sa.Column("run_id", sa.String(40), sa.ForeignKey("revalidations.id"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("plan_id", sa.String(40), sa.ForeignKey("plans.id"), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("answer", sa.String(24)),
        sa.Column("decided_by", sa.String(16)),
        sa.Column("wet_out_before_s", sa.Float),
        sa.Column("wet_out_after_s", sa.Float),
        sa.Column("gel_limit_before_s", sa.Float),
        sa.Column("gel_limit_after_s", sa.Float),
        sa.Column("reason", sa.Text),
        sa.Column("plan_job_id", sa.String(40), sa.ForeignKey("jobs.id")),
        sa.Column("decided_at", Instant),
        sa.CheckConstraint("state IN ('open', 'answered', 'set_aside')", name="known_item_state"),
        sa.CheckConstraint("(state = 'answered') = (answer IS NOT NULL)", name="answered_has_answer"),
    )
    op.create_index("items_by_state", "revalidation_items", ["run_id", "state", "number"])


def _keys() -> None:
    op.create_table(
        "api_keys",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("scopes", sa.Text, nullable=False),
        sa.Column("secret_sha256", sa.String(64), nullable=False),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("expires_at", Instant),
        sa.Column("revoked_at", Instant),
        sa.Column("last_used_at", Instant),
    )
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", Instant, nullable=False),
        sa.Column("key_id", sa.String(40)),
        sa.Column("action", sa.String(64), nullable=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("request_id", sa.String(64)),
    )
    op.create_table(
        "idempotent_replies",
        sa.Column("scope", sa.String(64), primary_key=True),
        sa.Column("request_sha256", sa.String(64), nullable=False),
        sa.Column("status", sa.Integer, nullable=False),
        sa.Column("headers", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("created_at", Instant, nullable=False),
    )
    op.create_index("replies_by_age", "idempotent_replies", ["created_at"])


def _webhooks() -> None:
    op.create_table(
        "webhooks",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("url", sa.Text, nullable=False),
        sa.Column("events", sa.Text, nullable=False),
        sa.Column("secret", sa.Text, nullable=False),
        sa.Column("earlier_secret", sa.Text),
        sa.Column("earlier_secret_until", Instant),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("created_by", sa.String(40)),
        sa.Column("ended_at", Instant),
        sa.Column("ended_because", sa.Text),
    )
    op.create_table(
        "deliveries",
        sa.Column("id", sa.String(40), primary_key=True),
        sa.Column("webhook_id", sa.String(40), sa.ForeignKey("webhooks.id"), nullable=False),
        sa.Column("event", sa.String(40), nullable=False),
        sa.Column("payload", sa.Text, nullable=False),
        sa.Column("created_at", Instant, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("due_at", Instant),
        sa.Column("delivered_at", Instant),
        sa.Column("given_up_at", Instant),
        sa.Column("last_answer", sa.Text),
    )
    op.create_index("deliveries_of_a_webhook", "deliveries", ["webhook_id", "created_at", "id"])
    op.create_index(
        "deliveries_due",
        "deliveries",
        ["due_at", "webhook_id"],
        sqlite_where=sa.text("due_at IS NOT NULL"),
        postgresql_where=sa.text("due_at IS NOT NULL"),
    )
