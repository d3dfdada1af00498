"""`tapcall serve`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import CannotGoOnError, Debug, ending_well
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from api.settings import Settings


def serve(
    port: Annotated[
        int | None, typer.Option(help="Port to listen on; 0 takes a free one. 8080 unless set.")
    ] = None,
    host: Annotated[str | None, typer.Option(help="Address to listen on. 127.0.0.1 unless set.")] = None,
    data: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="Folder for layouts, jobs and plans. tapcall-data unless set."),
    ] = None,
    debug: Debug = False,
) -> None:
    """Serve the HTTP interface on this machine.

    THE SERVICE HAS NO KEYS YET: whoever reaches it can read and plan everything. Leave it on 127.0.0.1 and do
    not expose it to a network.

    Layouts, jobs and plans are kept in the data folder and survive a restart, also in the middle of planning.
    Every option can also be set in the environment, for example TAPCALL_PORT.

    Example: tapcall serve --port 8080 --data shop-data
    """
    with ending_well(debug=debug):
        from api.serve import AddressError
        from api.serve import serve as run_service
        from api.store.folder import FolderError
        from api.store.migrate import StoreTooNewError

        settings = _settings(port=port, host=host, data=data)
        try:
            run_service(settings, announce=lambda address: _announce(settings, address))
        except (FolderError, AddressError, StoreTooNewError) as error:
            raise CannotGoOnError(str(error)) from error


def _settings(**options: object) -> Settings:
    from pydantic import ValidationError

    from api.settings import Settings

    try:
        return Settings(**{name: value for name, value in options.items() if value is not None})  # type: ignore[arg-type]
    except ValidationError as error:
        raise InputError(
            Fault(
                path=f"TAPCALL_{str(each['loc'][0]).upper()}", found=str(each["input"]), expected=each["msg"]
            )
            for each in error.errors()
        ) from error


def _announce(settings: Settings, address: str) -> None:
    print(f"Serving {address}", flush=True)
    print(f"Data folder {settings.data.resolve()}", flush=True)
    print("No keys yet: do not expose this address to a network.", flush=True)
