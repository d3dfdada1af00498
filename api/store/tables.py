"""The tables as the program sees them; the migrations beside this file create them."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

from api.store.instants import Instant

metadata = MetaData()

documents = Table(
    "documents",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("kind", String(16), nullable=False, comment="layout or resin"),
    Column("name", Text, nullable=False, comment="of the newest revision"),
    Column("revision", Integer, nullable=False, comment="the newest"),
    Column("digest", String(64), nullable=False, comment="of the newest revision"),
    Column("created_at", Instant, nullable=False),
    Column("updated_at", Instant, nullable=False),
)

revisions = Table(
    "revisions",
    metadata,
    Column("document_id", String(40), ForeignKey("documents.id"), primary_key=True),
    Column("revision", Integer, primary_key=True, comment="1, 2, 3 ..."),
    Column("digest", String(64), nullable=False, comment="of what the document says"),
    Column("source", LargeBinary, nullable=False, comment="as it was sent in"),
    Column("created_at", Instant, nullable=False),
    Column("created_by", String(40), comment="the key that sent it; null: no key was asked for"),
)

cases = Table(
    "cases",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("name", Text, nullable=False),
    Column("source", LargeBinary, nullable=False, comment="the whole case; reading it gives the digest again"),
    Column("part_digest", String(64), comment="null in rows of schema 0001"),
    Column("resin_digest", String(64), comment="null in rows of schema 0001"),
    Column("settings_digest", String(64), comment="null in rows of schema 0001"),
    Column("layout_id", String(40), comment="what it was first composed from"),
    Column("layout_revision", Integer),
    Column("resin_id", String(40), comment="null: the resin that stands in the layout"),
    Column("resin_revision", Integer),
    Column("batch", Text),
    Column("created_at", Instant, nullable=False),
    ForeignKeyConstraint(["layout_id", "layout_revision"], ["revisions.document_id", "revisions.revision"]),
    ForeignKeyConstraint(["resin_id", "resin_revision"], ["revisions.document_id", "revisions.revision"]),
)

case_origins = Table(
    "case_origins",
    metadata,
    Column("case_digest", String(64), ForeignKey("cases.digest"), primary_key=True),
    Column("origin", String(64), primary_key=True, comment="digest of the next five columns: each origin stands once"),
    Column("layout_id", String(40), nullable=False),
    Column("layout_revision", Integer, nullable=False),
    Column("resin_id", String(40), comment="null: the resin that stands in the layout"),
    Column("resin_revision", Integer),
    Column("batch", Text),
    Column("created_at", Instant, nullable=False),
    ForeignKeyConstraint(["layout_id", "layout_revision"], ["revisions.document_id", "revisions.revision"]),
    ForeignKeyConstraint(["resin_id", "resin_revision"], ["revisions.document_id", "revisions.revision"]),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("kind", String(16), nullable=False, comment="plan, check or revalidation"),
    Column("question", String(64), nullable=False, comment="digest; the same question has one job that may succeed"),
    Column("case_digest", String(64), ForeignKey("cases.digest"), comment="null for a revalidation"),
    Column("sequence", Text, comment="JSON: what a check is to play"),
    Column("software_version", String(64), nullable=False),
    Column("state", String(16), nullable=False),
    Column("phase", Text, nullable=False),
    Column("fraction", Float, nullable=False),
    Column("best_wet_out_s", Float),
    Column("error", Text, comment="JSON, where the job failed"),
    Column("created_at", Instant, nullable=False),
    Column("updated_at", Instant, nullable=False),
    Column("created_by", String(40)),
)

attempts = Table(
    "attempts",
    metadata,
    Column("token", String(32), primary_key=True, comment="random; only its holder may finish the job"),
    Column("job_id", String(40), ForeignKey("jobs.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("started_at", Instant, nullable=False),
    Column("lease_until", Instant, nullable=False),
    Column("ended_at", Instant),
    Column("outcome", String(16), comment="null while it runs"),
    Column("reason", Text),
)

job_events = Table(
    "job_events",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", String(40), ForeignKey("jobs.id"), nullable=False),
    Column("at", Instant, nullable=False),
    Column("from_state", String(16)),
    Column("to_state", String(16), nullable=False),
    Column("reason", Text, nullable=False),
)

plans = Table(
    "plans",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("job_id", String(40), ForeignKey("jobs.id"), nullable=False, unique=True),
    Column("case_digest", String(64), ForeignKey("cases.digest"), nullable=False),
    Column("name", Text, comment="of the case; null in rows of schema 0001"),
    Column("resin", Text, comment="name; null in rows of schema 0001"),
    Column("batch", Text, comment="null in rows of schema 0001"),
    Column("software_version", String(64), nullable=False),
    Column("verdict", String(32), nullable=False),
    Column("wet_out_s", Float),
    Column("gel_margin_s", Float),
    Column("sha256", String(64), nullable=False, comment="of the document"),
    Column("document", Text, nullable=False, comment="plan.json"),
    Column("facts", Text, comment="JSON: what a revalidation needs; null in rows of schema 0001"),
    Column("created_at", Instant, nullable=False),
)

withdrawals = Table(
    "withdrawals",
    metadata,
    Column("plan_id", String(40), ForeignKey("plans.id"), primary_key=True),
    Column("at", Instant, nullable=False),
    Column("reason", Text, nullable=False),
    Column("by", String(40), comment="the key; null: no key was asked for"),
)

revalidations = Table(
    "revalidations",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("job_id", String(40), ForeignKey("jobs.id"), nullable=False, unique=True),
    Column("change", Text, nullable=False, comment="JSON: what is different now"),
    Column("said", Text, nullable=False, comment="JSON: the change in sentences"),
    Column("chosen", Text, nullable=False, comment="JSON: the filter over the plans"),
    Column("plan_again", String(16), nullable=False, comment="never, invalid or all"),
    Column("asked", Integer, nullable=False, comment="number of items"),
    Column("created_at", Instant, nullable=False),
    Column("created_by", String(40)),
)

revalidation_items = Table(
    "revalidation_items",
    metadata,
    Column("run_id", String(40), ForeignKey("revalidations.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("plan_id", String(40), ForeignKey("plans.id"), nullable=False),
    Column("state", String(16), nullable=False, comment="open, answered or set_aside"),
    Column("tries", Integer, nullable=False, comment="times that its computation was begun"),
    Column("answer", String(24), comment="still_valid, new_clock or no_longer_valid"),
    Column("decided_by", String(16), comment="look_up or full_run"),
    Column("wet_out_before_s", Float),
    Column("wet_out_after_s", Float),
    Column("gel_limit_before_s", Float),
    Column("gel_limit_after_s", Float),
    Column("reason", Text),
    Column("plan_job_id", String(40), ForeignKey("jobs.id"), comment="planned again by this job"),
    Column("decided_at", Instant),
)

api_keys = Table(
    "api_keys",
    metadata,
    Column("id", String(40), primary_key=True, comment="the public part of the key"),
    Column("name", Text, nullable=False),
    Column("scopes", Text, nullable=False, comment="comma-separated: read, submit, operate"),
    Column("secret_sha256", String(64), nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("expires_at", Instant),
    Column("revoked_at", Instant),
    Column("last_used_at", Instant),
)

audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Instant, nullable=False),
    Column("key_id", String(40), comment="null: no key was asked for, or the command line"),
    Column("action", String(64), nullable=False),
    Column("subject", Text, nullable=False, comment="id of what was changed"),
    Column("request_id", String(64)),
)

idempotent_replies = Table(
    "idempotent_replies",
    metadata,
    Column("scope", String(64), primary_key=True, comment="digest of caller, route and key"),
    Column("request_sha256", String(64), nullable=False),
    Column("status", Integer, nullable=False),
    Column("headers", Text, nullable=False, comment="JSON"),
    Column("body", Text, nullable=False),
    Column("created_at", Instant, nullable=False),
)

webhooks = Table(
    "webhooks",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("url", Text, nullable=False),
    Column("events", Text, nullable=False, comment="comma-separated; empty: all"),
    Column("secret", Text, nullable=False, comment="needed in the clear to sign with"),
    Column("earlier_secret", Text, comment="signs too until it runs out"),
    Column("earlier_secret_until", Instant),
    Column("created_at", Instant, nullable=False),
    Column("created_by", String(40)),
    Column("ended_at", Instant),
    Column("ended_because", Text),
)

deliveries = Table(
    "deliveries",
    metadata,
    Column("id", String(40), primary_key=True, comment="goes out as webhook-id, the same at every try"),
    Column("webhook_id", String(40), ForeignKey("webhooks.id"), nullable=False),
    Column("event", String(40), nullable=False),
    Column("payload", Text, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("tries", Integer, nullable=False),
    Column("due_at", Instant, comment="null: delivered or given up"),
    Column("delivered_at", Instant),
    Column("given_up_at", Instant),
    Column("last_answer", Text),
)
