"""Plans that are used no more: they stay readable for good, but nobody prints orders from them or judges them again."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, delete, insert, select

from api.store.instants import now
from api.store.tables import plans, withdrawals


class AlreadyWithdrawnError(Exception):
    """For another reason; carries that. Sheets with it may hang on the wall, so it is not replaced."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"withdrawn already: {reason}")
        self.reason = reason


def withdraw(connection: Connection, plan_id: str, *, reason: str, by: str | None) -> None:
    """Once more for the same reason changes nothing; AlreadyWithdrawnError for another one."""
    known = find_withdrawal(connection, plan_id)
    if known is None:
        connection.execute(insert(withdrawals).values(plan_id=plan_id, at=now(), reason=reason, by=by))
    elif known.reason != reason:
        raise AlreadyWithdrawnError(known.reason)


def reinstate(connection: Connection, plan_id: str) -> None:
    """Take the withdrawal back; a plan that was not withdrawn stays as it is."""
    connection.execute(delete(withdrawals).where(withdrawals.c.plan_id == plan_id))


def find_withdrawal(connection: Connection, plan_id: str) -> Row[Any] | None:
    return connection.execute(select(withdrawals).where(withdrawals.c.plan_id == plan_id)).one_or_none()


def is_withdrawn() -> ColumnElement[bool]:
    """Of a plan, within a query over plans."""
    return plans.c.id.in_(select(withdrawals.c.plan_id))
