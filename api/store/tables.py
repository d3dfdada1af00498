"""The tables as the program sees them; the migrations beside this file create them."""

from __future__ import annotations

from sqlalchemy import Column, Float, ForeignKey, Integer, LargeBinary, MetaData, String, Table, Text

from api.store.instants import Instant

metadata = MetaData()

layouts = Table(
    "layouts",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("name", Text, nullable=False),
    Column("source", LargeBinary, nullable=False, comment="the case as it was sent in"),
    Column("created_at", Instant, nullable=False),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("layout_digest", String(64), ForeignKey("layouts.digest"), nullable=False),
    Column("software_version", String(64), nullable=False),
    Column("state", String(16), nullable=False),
    Column("phase", Text, nullable=False),
    Column("fraction", Float, nullable=False),
    Column("best_wet_out_s", Float),
    Column("error", Text, comment="JSON, where the job failed"),
    Column("created_at", Instant, nullable=False),
    Column("updated_at", Instant, nullable=False),
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
    Column("layout_digest", String(64), ForeignKey("layouts.digest"), nullable=False),
    Column("verdict", String(32), nullable=False),
    Column("wet_out_s", Float),
    Column("sha256", String(64), nullable=False, comment="of the document"),
    Column("document", Text, nullable=False, comment="plan.json"),
    Column("created_at", Instant, nullable=False),
)
