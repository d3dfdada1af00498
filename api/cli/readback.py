"""`tapcall readback`: what was understood, before anything is computed from it."""

from __future__ import annotations

import typer

from api.cli.case_argument import CaseArgument, case_path
from api.cli.exits import Debug, ending_well


def readback(
    case: CaseArgument,
    as_json: bool = typer.Option(False, "--json", help="Print the same as JSON."),
    debug: Debug = False,
) -> None:
    """Show what was understood of a case: areas, laminates, lines, resin, warnings, and what was assumed.

    Compare it with the drawing before you plan.

    Example: tapcall readback hull_side
    """
    with ending_well(debug=debug):
        from api.cli.readback_text import readback_text
        from optimiser.case.planning import read_back
        from optimiser.case.read_case import read_case

        understood = read_back(read_case(case_path(case)))
        print(understood.model_dump_json(indent=2) if as_json else readback_text(understood), flush=True)
