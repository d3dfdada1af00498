"""The one place that opens transactions."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from sqlalchemy import Connection, make_url

from api.store import postgresql_engine, sqlite_engine
from api.store.kept_glances import KeptGlances
from api.store.one_writer import OneWriter
from api.store.shared_commits import SharedCommits

T = TypeVar("T")


class Database:
    """A store reached by its SQLAlchemy URL; safe to share between threads, never between processes.

    One writer at a time, on PostgreSQL as on SQLite, so what a writer has read stays true until it commits. Where the
    store is gone, or another writer keeps it longer than the busy timeout, SQLAlchemy's OperationalError says so and
    nothing of the transaction is kept; the next one finds a store that has come back.
    """

    def __init__(self, url: str, *, busy_timeout_s: float) -> None:
        self.url = make_url(url)
        if self.url.get_backend_name() == "postgresql":
            self._engine = postgresql_engine.make(self.url, busy_timeout_s)
            self._reading, self._rebuilding = postgresql_engine.reading(self._engine), postgresql_engine.rebuilding
        else:
            self._engine = sqlite_engine.make(self.url, busy_timeout_s)
            self._reading, self._rebuilding = self._engine, sqlite_engine.rebuilding
        self._writing = self._engine.execution_options(writes=True)
        self._one_writer = OneWriter(self._writing, busy_timeout_s=busy_timeout_s)
        self._shared_commits = SharedCommits(self.write)
        self._glancing: Connection | None = None
        self._kept = KeptGlances()
        self._one_glance = threading.Lock()

    @property
    def answers_at_once(self) -> bool:
        """A short read waits for nobody, neither for a network nor for a writer."""
        return self.url.get_backend_name() == "sqlite"

    @property
    def takes_no_write(self) -> bool:
        """It has just been waited for in vain: whoever asks now would only wait too."""
        return self._one_writer.is_hopeless

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one consistent state and writes nothing."""
        with self._reading.begin() as connection:
            yield connection

    def glance(self, find: Callable[[Connection], T], *, keep_as: Hashable | None = None) -> T:
        """What `find` makes of one statement, which sees one state without a transaction around it.

        Half the time of `read`, on a connection that is kept. `find` must not leave rows unread. keep_as: under this
        key what was found is given again until anybody commits, where the store can tell; None: it is always looked up.
        """
        if not self.answers_at_once:
            with self.read() as connection:
                return find(connection)
        with self._one_glance:
            if self._glancing is None:
                self._glancing = self._engine.execution_options(glances=True).connect()
            try:
                if keep_as is None:
                    return find(self._glancing)
                return self._kept.get(self._glancing, keep_as, find)
            except BaseException:
                self._end_glances()
                raise

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that may write from its first statement on; commits unless an error leaves it.

        Those of this process take turns before they ask the store, where they would wait with pauses in between.
        """
        with self._one_writer.write() as connection:
            yield connection

    def write_together(self, work: Callable[[Connection], T]) -> T:
        """`work` in a write that it may share with others that wait at the same moment; see `SharedCommits.do`."""
        return self._shared_commits.do(work)

    @contextmanager
    def rebuild(self) -> Iterator[Connection]:
        """A write in which tables may be replaced, however long that takes or others hold them."""
        with self._rebuilding(self._writing) as connection:
            yield connection

    def close(self) -> None:
        with self._one_glance:
            self._end_glances()
        self._engine.dispose()

    def _end_glances(self) -> None:
        if self._glancing is not None:
            self._glancing.close()
            self._glancing, self._kept = None, KeptGlances()
