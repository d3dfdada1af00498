"""`tapcall backup` and `tapcall restore`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Annotated

import typer

from api.cli.exits import CannotGoOnError, Debug, ending_well
from api.cli.service_settings import DataFolder, settings_with


def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to write; one that is there is replaced.")],
    data: DataFolder = None,
    debug: Debug = False,
) -> None:
    """Copy the whole store to one file, while the service goes on.

    The copy is the store as it was at one instant, checked before it takes the place of an earlier one. The proof that
    is printed is a digest over all rows; restore prints it again. Whoever has the file has what keys protect.

    Example: tapcall backup monday.tapcall --data shop-data
    """
    with ending_well(debug=debug), _plain_errors():
        from api.store.backup import back_up

        with closing(settings_with(data=data).open_store()) as store:
            proof = back_up(store, file)
        print(f"Wrote {file}\n{proof}", flush=True)


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that tapcall backup wrote.")],
    data: DataFolder = None,
    proof: Annotated[
        str | None, typer.Option(metavar="DIGEST", help="The proof that backup printed; else nothing is restored.")
    ] = None,
    debug: Debug = False,
) -> None:
    """Fill an empty data folder, or an empty database, from a backup.

    A store that is there already is never touched. The restored one is brought up to this version of the program.

    Example: tapcall restore monday.tapcall --data new-folder
    """
    with ending_well(debug=debug), _plain_errors():
        from api.store.backup import restore as put_back

        with closing(settings_with(data=data).open_store()) as store:
            found = put_back(store, file, wanted=proof)
        print(f"Restored {file}\n{found}", flush=True)


@contextmanager
def _plain_errors() -> Iterator[None]:
    """What speaks against a backup, as one line for a person."""
    from sqlalchemy.exc import OperationalError

    from api.store.backup_error import BackupError
    from api.store.migrate import StoreTooNewError

    try:
        yield
    except OperationalError as error:
        raise CannotGoOnError(f"the store does not answer: {str(error.orig).splitlines()[0]}") from error
    except (BackupError, StoreTooNewError) as error:
        raise CannotGoOnError(str(error)) from error
