"""Settings from the environment, with what the command line says on top."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import CannotGoOnError
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from api.settings import Settings

DataFolder = Annotated[
    Path | None,
    typer.Option("--data", metavar="DIR", help="Folder of the embedded store. tapcall-data unless set."),
]
Port = Annotated[int | None, typer.Option(help="Port to listen on; 0 takes a free one. 8080 unless set.")]


def settings_with(**options: object) -> Settings:
    """InputError names each setting that cannot be used; options that are None are left to the environment."""
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


@contextmanager
def plain_store_errors() -> Iterator[None]:
    """What speaks against the store or the address, as one line for a person."""
    from api.serve import AddressError
    from api.store.folder import FolderError
    from api.store.migrate import StoreTooNewError
    from api.store.open import StoreUnreachableError

    try:
        yield
    except (FolderError, AddressError, StoreTooNewError, StoreUnreachableError) as error:
        raise CannotGoOnError(str(error)) from error
