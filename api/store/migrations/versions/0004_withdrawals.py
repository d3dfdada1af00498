"""Plans that are used no more, and a quick way to the last judgement of a plan."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from api.store.instants import Instant

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "withdrawals",
        sa.Column("plan_id", sa.String(40), sa.ForeignKey("plans.id"), primary_key=True),
        sa.Column("at", Instant, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("by", sa.String(40)),
    )
    op.create_index("judgements_of_a_plan", "revalidation_items", ["plan_id", "decided_at"])
