"""All checks, in the order in which a person would look: what comes first explains what comes later."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial

from sqlalchemy import Connection
from sqlalchemy.exc import SQLAlchemyError

from api.doctor.clock import clock_of_the_server, rows_from_the_future
from api.doctor.contradictions import busy_timeout, keys_and_address, leases, unused_folder, workers_here
from api.doctor.data_folder import file_system, files, folder
from api.doctor.disk import free_disk
from api.doctor.engine_address import engine
from api.doctor.finding import Finding, State, ok, trouble
from api.doctor.jobs_in_store import items_set_aside, jobs_given_up, waiting_jobs
from api.doctor.keys_in_store import good_keys, keys_that_end
from api.doctor.memory import address_space, memory
from api.doctor.port import port
from api.doctor.postgresql_store import backup_programs, durability, server_version
from api.doctor.schema import schema
from api.doctor.sqlite_store import journal, soundness
from api.doctor.store_view import NoStoreYetError, embedded_file, store_view
from api.doctor.variables import variables
from api.doctor.versions import packages, python_version, wanted
from api.doctor.webhooks_in_store import deliveries_given_up, ended_webhooks, overdue_deliveries
from api.settings import Settings

Check = Callable[[], Finding]
_STORE = "store"
_DO = {
    True: "keep a copy of the data folder, and restore the last backup into a new one: tapcall restore",
    False: "start it, or correct TAPCALL_DATABASE_URL",
}
"""By whether the store is the embedded one."""


def examine_program(environment: Mapping[str, str]) -> Iterator[Finding]:
    """What can be looked at even where a setting cannot be used."""
    wants = wanted()
    yield from _all([partial(python_version, wants), partial(packages, wants), partial(variables, environment)])


def examine(settings: Settings) -> Iterator[Finding]:
    """All the rest, one finding after the other."""
    agree = (leases, busy_timeout, keys_and_address, workers_here, unused_folder, memory, address_space)
    yield from _all([partial(check, settings) for check in agree])
    if settings.database_url is None:
        yield from _all([partial(check, settings.data) for check in (folder, files, file_system, free_disk)])
    yield from _examine_store(settings)
    yield from _all([partial(engine, settings.engine), partial(port, settings)])


def _examine_store(settings: Settings) -> Iterator[Finding]:
    try:
        with store_view(settings) as connection:
            yield ok(_STORE, "it answers")
            yield from _examine_rows(connection, settings)
    except NoStoreYetError:
        return  # the folder has been told about
    except ImportError as error:
        yield trouble(_STORE, f"{error.name} is not installed here", "install what requirements.lock names")
    except SQLAlchemyError as error:
        yield trouble(_STORE, f"it does not answer: {_cause(error)}", _DO[settings.database_url is None])


def _examine_rows(connection: Connection, settings: Settings) -> Iterator[Finding]:
    file = embedded_file(settings)
    if file is not None:
        yield from _all([partial(soundness, connection), partial(journal, file)])
    else:
        server = (server_version, durability, backup_programs, clock_of_the_server)
        yield from _all([partial(check, connection) for check in server])
    tables = _run(partial(schema, connection))
    yield tables
    if tables.state is not State.OK:
        return
    with_settings = (rows_from_the_future, good_keys)
    yield from _all([partial(check, connection, settings) for check in with_settings])
    rows = (
        keys_that_end,
        waiting_jobs,
        jobs_given_up,
        items_set_aside,
        ended_webhooks,
        deliveries_given_up,
        overdue_deliveries,
    )
    yield from _all([partial(check, connection) for check in rows])


def _all(checks: list[Check]) -> Iterator[Finding]:
    yield from map(_run, checks)


def _run(check: Check) -> Finding:
    """A check that goes wrong is a finding too: the others still say what they can."""
    try:
        return check()
    except Exception as error:
        name = getattr(check, "func", check).__name__.replace("_", " ")
        return trouble(name, f"the check itself went wrong: {_cause(error)}", "mend what is said above, and look again")


def _cause(error: Exception) -> str:
    """One line, without the statement and the parameters that SQLAlchemy adds."""
    origin = getattr(error, "orig", None) or error
    return f"{type(origin).__name__}: {(str(origin).splitlines() or [''])[0]}"
