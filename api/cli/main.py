"""The command `tapcall`."""

from __future__ import annotations

from typing import Annotated

import typer

from api.cli.backup import backup, restore
from api.cli.compare import compare
from api.cli.doctor import doctor
from api.cli.keys import keys
from api.cli.listings import demos, schema
from api.cli.plan import check, plan
from api.cli.readback import readback
from api.cli.revalidate import revalidate
from api.cli.serve import serve, work
from api.cli.sweep import sweep
from api.cli.withdraw import reinstate, withdraw
from optimiser import __version__

app = typer.Typer(
    name="tapcall",
    help="Finds and verifies the order in which the feed lines of a resin infusion are opened, and prints it "
    "as a run sheet.\n\nStart with: tapcall plan",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode="markdown",
    pretty_exceptions_enable=False,
)
_FOR_A_SHOT = (plan, check, compare, sweep, readback, schema, demos)
_FOR_THE_SERVICE = (serve, work, revalidate, withdraw, reinstate, backup, restore, doctor)
for command in (*_FOR_A_SHOT, *_FOR_THE_SERVICE):
    app.command()(command)
app.add_typer(keys, name="keys")


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"tapcall {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and stop."),
    ] = False,
) -> None:
    pass


if __name__ == "__main__":
    app()
