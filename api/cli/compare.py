"""`tapcall compare`: two plans beside each other."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from api.cli.exits import Debug, ExitCode, ending_well


def compare(
    plan_a: Annotated[Path, typer.Argument(metavar="PLAN_A", help="A plan.json.")],
    plan_b: Annotated[Path, typer.Argument(metavar="PLAN_B", help="Another: what changed against the first.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print the comparison as JSON.")] = False,
    debug: Debug = False,
) -> None:
    """What changed from one plan to another: steps, times and margins, resin and initiator, and what they hold for.

    Nothing is computed anew: both are read as they were written.

    Exit code: 0 compared, 3 one of them is not verified and must not be used, 2 bad input, 1 a fault of ours.

    Example: tapcall compare monday/plan.json tuesday/plan.json
    """
    with ending_well(debug=debug):
        from api.cli.compare_text import comparison_text
        from optimiser.case.plan_document import Verdict
        from optimiser.case.read_plan import read_plan
        from optimiser.comparison.compare import compare_plans

        found = compare_plans(read_plan(plan_a, named=str(plan_a)), read_plan(plan_b, named=str(plan_b)))
        print(found.model_dump_json(indent=2) if as_json else comparison_text(found), flush=True)
        if any(side.verdict is not Verdict.VERIFIED for side in (found.plan_a, found.plan_b)):
            raise typer.Exit(ExitCode.NOT_ADMISSIBLE)
