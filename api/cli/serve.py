"""`tapcall serve` and `tapcall work`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import Debug, ending_well
from api.cli.service_settings import DataFolder, Port, plain_store_errors, settings_with

if TYPE_CHECKING:
    from api.settings import Settings


def serve(
    port: Port = None,
    host: Annotated[str | None, typer.Option(help="Address to listen on. 127.0.0.1 unless set.")] = None,
    data: DataFolder = None,
    keys: Annotated[
        bool | None,
        typer.Option("--keys/--no-keys", help="Ask every request for a key. --no-keys: whoever gets here may do all."),
    ] = None,
    debug: Debug = False,
) -> None:
    """Serve the HTTP interface, and work on its jobs.

    Every request needs a key (tapcall keys add), but for /livez and /readyz. Layouts, resins, plans and jobs are kept
    in the data folder, or in PostgreSQL, and survive a restart, also in the middle of planning. Every option and
    more can be set in the environment, for example TAPCALL_PORT.

    Example: tapcall serve --port 8080 --data shop-data
    """
    with ending_well(debug=debug):
        settings = settings_with(port=port, host=host, data=data, keys=keys)
        from api.serve import serve as run_service

        with plain_store_errors():
            run_service(settings, announce=lambda address: _announce(settings, address))


def work(
    data: DataFolder = None,
    processes: Annotated[
        int | None, typer.Option(help="Jobs worked on at the same time. 1 unless set: one alone uses all processors.")
    ] = None,
    debug: Debug = False,
) -> None:
    """Work on the jobs of a store that a service, here or on another machine, also uses.

    Example: tapcall work --data shop-data
    """
    with ending_well(debug=debug):
        settings = settings_with(data=data, job_processes=processes)
        from api.work import work as run_worker

        with plain_store_errors():
            run_worker(settings, announce=lambda: print(f"Working on {_place(settings)}", flush=True))


def _announce(settings: Settings, address: str) -> None:
    print(f"Serving {address}", flush=True)
    print(f"Store {_place(settings)}", flush=True)
    if not settings.keys:
        print("No keys are asked for: do not expose this address to a network.", flush=True)


def _place(settings: Settings) -> str:
    """Where the store is, without its password."""
    if settings.database_url is None:
        return str(settings.data.resolve())
    from sqlalchemy import make_url

    return make_url(settings.store_url).render_as_string(hide_password=True)
