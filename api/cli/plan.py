"""`tapcall plan` and `tapcall check`: both end in a plan and tell it the same way."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.case_argument import DEFAULT_CASE, CaseArgument, case_path
from api.cli.exits import Debug, ExitCode, ending_well, nothing_done_yet, say
from api.cli.interruptible import interruptible
from api.cli.out_folder import fill_out_folder, ready_out_folder
from api.cli.progress_bar import progress_on_stderr

if TYPE_CHECKING:
    from optimiser.case.plan_document import PlanDocument

AsJson = Annotated[
    bool, typer.Option("--json", help="Print plan.json on stdout instead of the short result.")
]
Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="DIR", help="Folder for plan.json, run sheet, wet-out map and tap labels."),
]
Scenarios = Annotated[
    int | None,
    typer.Option(
        "--scenarios",
        metavar="N",
        help="Play the leading sequences in N variations of the day, 20 to 5000; in place of what the case says.",
    ),
]
TimeLimit = Annotated[
    float | None,
    typer.Option(
        "--time-limit",
        metavar="SECONDS",
        min=1,
        help="Search for about so long, then give the best sequence so far, verified. Left out: as long as it takes.",
    ),
]


def plan(
    case: CaseArgument = DEFAULT_CASE,
    out: Out = None,
    scenarios: Scenarios = None,
    time_limit: TimeLimit = None,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Find the order in which to open the taps, verify it, and write the run sheet.

    Without --out the files go to a folder named after the case; with --json alone, none are written. With --scenarios
    the plan says in how many variations of what the case spreads (laminate, resin, weather, vacuum, gaps, crew) it
    stays clean, and of sequences about as fast the one that does so most often is taken.

    After the time limit, or on Ctrl-C, the best sequence so far is verified and given; a second Ctrl-C ends at once.

    Exit code: 0 verified, 2 bad input, 3 no admissible sequence (the result says why), 1 a fault of ours.

    Example: tapcall plan hull_side --out monday
    """
    with ending_well(debug=debug):
        with nothing_done_yet("Interrupted before planning began: nothing was planned, no file was written."):
            from optimiser.case.read_case import read_case

            path = case_path(case)
            shot = read_case(path, scenarios=scenarios)
            folder = out if out is not None or as_json else Path(f"{_short_name(path)}-plan")
            if folder is not None:
                ready_out_folder(folder)

            from optimiser.case.planning import Patience, plan_case

        patience = Patience(time_limit)
        with progress_on_stderr() as on_progress:

            def stop() -> None:
                patience.stop()
                say("Verifying the best sequence so far. Ctrl-C again ends at once.")

            found = interruptible(lambda: plan_case(shot, progress=on_progress, patience=patience), first=stop)
        _tell(found, folder, as_json=as_json)


def check(
    case: CaseArgument,
    sequence: Annotated[Path, typer.Argument(metavar="SEQUENCE", help="A sequence file (YAML or JSON).")],
    out: Out = None,
    scenarios: Scenarios = None,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Check a sequence that you wrote: would it wet out in time, and without locking air?

    Exit code: 0 clean, 3 it would lock or gel, 2 bad input, 1 a fault of ours.

    Example: tapcall check hull_side my-order.yaml
    """
    with ending_well(debug=debug):
        with nothing_done_yet("Interrupted before the check began: nothing was played, no file was written."):
            from optimiser.case.read_case import read_case
            from optimiser.case.read_sequence import read_sequence

            shot, own = read_case(case_path(case), scenarios=scenarios), read_sequence(sequence)
            if out is not None:
                ready_out_folder(out)

            from optimiser.case.planning import check_sequence_of_case

        with progress_on_stderr() as on_progress:
            checked = interruptible(lambda: check_sequence_of_case(shot, own, progress=on_progress))
        _tell(checked, out, as_json=as_json)


def _tell(found: PlanDocument, folder: Path | None, *, as_json: bool) -> None:
    from api.cli.result_text import result_text
    from optimiser.case.plan_document import Verdict

    written = [] if folder is None else fill_out_folder(found, folder)
    print(found.model_dump_json(indent=2) if as_json else result_text(found, written), flush=True)
    if found.verdict is not Verdict.VERIFIED:
        raise typer.Exit(ExitCode.NOT_ADMISSIBLE)


def _short_name(path: Path) -> str:
    """Demo cases are all called case.yaml; the name of their folder says more."""
    return path.parent.name if path.stem == "case" and path.parent.name else path.stem
