"""Every origin that a case was asked from, where until now only the first was known."""

from __future__ import annotations

from hashlib import sha256
from typing import Any

import sqlalchemy as sa
from alembic import op

from api.store.instants import Instant

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_AT_A_TIME = 1000
_ORIGIN = ("layout_id", "layout_revision", "resin_id", "resin_revision", "batch")


def upgrade() -> None:
    case_origins = op.create_table(
        "case_origins",
        sa.Column("case_digest", sa.String(64), sa.ForeignKey("cases.digest"), primary_key=True),
        sa.Column("origin", sa.String(64), primary_key=True),
        sa.Column("layout_id", sa.String(40), nullable=False),
        sa.Column("layout_revision", sa.Integer, nullable=False),
        sa.Column("resin_id", sa.String(40)),
        sa.Column("resin_revision", sa.Integer),
        sa.Column("batch", sa.Text),
        sa.Column("created_at", Instant, nullable=False),
        sa.ForeignKeyConstraint(["layout_id", "layout_revision"], ["revisions.document_id", "revisions.revision"]),
        sa.ForeignKeyConstraint(["resin_id", "resin_revision"], ["revisions.document_id", "revisions.revision"]),
    )
    _fill(op.get_bind(), case_origins)
    op.create_index("cases_asked_from_a_layout", "case_origins", ["layout_id", "case_digest"])
    op.drop_index("cases_of_a_layout", "cases")


def _fill(connection: sa.Connection, case_origins: sa.Table) -> None:
    cases = sa.table("cases", sa.column("digest"), *map(sa.column, _ORIGIN), sa.column("created_at", Instant))
    first = sa.select(cases).where(cases.c.layout_id.is_not(None))
    kept = connection.execute(first).mappings().all()
    for begin in range(0, len(kept), _AT_A_TIME):
        connection.execute(case_origins.insert(), [_row(case) for case in kept[begin : begin + _AT_A_TIME]])


def _row(case: Any) -> dict[str, Any]:
    said = [str(case[name] or "") for name in _ORIGIN]
    origin = sha256("\0".join(said).encode()).hexdigest()
    kept = {name: case[name] for name in (*_ORIGIN, "created_at")}
    return {"case_digest": case["digest"], "origin": origin, **kept}
