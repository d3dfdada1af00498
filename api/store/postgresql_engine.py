"""PostgreSQL as the store needs it: one writer at a time, snapshots for readers, and no wait without an end."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL, Connection, Engine, ExceptionContext, create_engine, event
from sqlalchemy.exc import OperationalError

_WRITERS_LOCK = int.from_bytes(b"tapcall\0")
"""Key of the advisory lock; any number will do that nothing else in this database takes."""
_LONGEST_STATEMENT_S, _LONGEST_IDLE_READ_S = 60, 600
_STOOD_STILL, _ONLY_READS = "25P03", "25006"
"""SQLSTATEs that psycopg does not count as operational: the transaction was cut off; the server is not the primary."""


def make(url: URL, busy_timeout_s: float) -> Engine:
    """Connections are looked at before use, so that a server which was restarted meanwhile fails nobody.

    A writer takes an advisory lock first; one that stands still is cut off before those behind it give up.
    """
    if url.drivername in ("postgresql", "postgresql+psycopg2"):
        url = url.set(drivername="postgresql+psycopg")
    set_here = {**_session_limits(busy_timeout_s), **_network_limits(busy_timeout_s)}
    engine = create_engine(
        url,
        pool_size=8,
        max_overflow=40,
        pool_pre_ping=True,
        isolation_level="READ COMMITTED",
        connect_args={name: value for name, value in set_here.items() if name not in url.query},
    )

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        if connection.get_execution_options().get("writes", False):
            _wait_for_other_writers(connection, most_idle_s=busy_timeout_s / 2)

    event.listen(engine, "handle_error", _call_operational)
    return engine


def reading(engine: Engine) -> Engine:
    """The same connections, for transactions that see the state of their first statement throughout."""
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


@contextmanager
def rebuilding(writing: Engine) -> Iterator[Connection]:
    """A write that waits as long as it must: another service may be rebuilding the same tables."""
    with writing.execution_options(writes=False).begin() as connection:
        for limit in ("lock_timeout", "statement_timeout"):
            connection.exec_driver_sql(f"SET LOCAL {limit} = 0")
        _wait_for_other_writers(connection, most_idle_s=0)
        yield connection


def _call_operational(context: ExceptionContext) -> None:
    """Whatever ends by itself when the server is well again is one kind of error for the callers."""
    cause, state = context.original_exception, getattr(context.original_exception, "sqlstate", None)
    writes = context.connection is not None and context.connection.get_execution_options().get("writes", False)
    if isinstance(context.sqlalchemy_exception, OperationalError):
        return
    if context.is_disconnect or state == _STOOD_STILL or (writes and state == _ONLY_READS):
        raise OperationalError(context.statement, context.parameters, cause) from cause


def _wait_for_other_writers(connection: Connection, *, most_idle_s: float) -> None:
    """0: it may be idle for ever."""
    connection.exec_driver_sql(
        f"SELECT set_config('idle_in_transaction_session_timeout', '{most_idle_s * 1000:.0f}', true), "
        f"pg_advisory_xact_lock({_WRITERS_LOCK})"
    )


def _session_limits(busy_timeout_s: float) -> dict[str, str]:
    limits_ms = {
        "lock_timeout": busy_timeout_s * 1000,
        "statement_timeout": (_LONGEST_STATEMENT_S + busy_timeout_s) * 1000,
        "idle_in_transaction_session_timeout": _LONGEST_IDLE_READ_S * 1000,
    }
    return {"options": " ".join(f"-c {name}={max(1, int(ms))}" for name, ms in limits_ms.items()) + " -c timezone=UTC"}


def _network_limits(busy_timeout_s: float) -> dict[str, int]:
    """Without these a write to a server that lost its power waits for a quarter of an hour."""
    return {
        "connect_timeout": max(2, int(busy_timeout_s)),
        "keepalives_idle": 20,
        "keepalives_interval": 5,
        "keepalives_count": 4,
        "tcp_user_timeout": 40_000,
    }
