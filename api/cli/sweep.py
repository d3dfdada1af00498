"""`tapcall sweep`: one sequence at other temperatures and initiator levels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.case_argument import CaseArgument, case_path
from api.cli.exits import Debug, ExitCode, ending_well
from api.cli.interruptible import interruptible
from api.cli.out_folder import ready_out_folder, write_out
from api.cli.progress_bar import OnProgress, progress_on_stderr
from api.cli.value_range import values_of

if TYPE_CHECKING:
    from optimiser.case.case_document import CaseDocument
    from optimiser.case.read_case import Case
    from optimiser.sweep.sweep_document import SweepDocument

MOST_TEMPERATURES, MOST_LEVELS = 13, 8
"""What a page holds in type that can be read at the mould."""


def sweep(
    case: CaseArgument,
    plan: Annotated[
        Path | None,
        typer.Option("--plan", metavar="PLAN", help="A plan.json or a sequence file; without: planned once."),
    ] = None,
    temperatures: Annotated[
        str | None,
        typer.Option(metavar="FIRST:LAST:STEP", help="Of the mould, degrees C; without: 6 K round the case's own."),
    ] = None,
    initiator: Annotated[
        str | None,
        typer.Option(metavar="FIRST:LAST:STEP", help="Levels, percent; without: the range entered in the case."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder for sweep.html, .svg, .png, .csv and .json.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print sweep.json on stdout instead of the table.")] = False,
    debug: Debug = False,
) -> None:
    """Warmer is faster but gels sooner: wet-out, gel limit, margin and resin over temperature and initiator.

    One sequence is judged at every setting; the resin stays as much warmer or colder than the mould as in the case,
    whose own setting is always in the table. Nothing is computed outside the initiator range and the resin data of
    the case: such a setting says why.

    Exit code: 0 the sequence holds at some setting, 3 at none, 2 bad input, 1 a fault of ours.

    Example: tapcall sweep hull_side --plan monday/plan.json --temperatures 16:24:2 --out monday
    """
    with ending_well(debug=debug):
        from optimiser.case.read_case import read_case

        shot = read_case(case_path(case))
        temperatures_c, levels_percent = _asked(shot.document, temperatures, initiator)
        if out is not None:
            ready_out_folder(out)
        with progress_on_stderr() as on_progress:
            found = interruptible(lambda: _swept(shot, plan, temperatures_c, levels_percent, on_progress))
        _tell(found, out, as_json=as_json)


def _asked(
    document: CaseDocument, temperatures: str | None, initiator: str | None
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    from optimiser.sweep import settings

    own = settings.own_setting(document)
    if temperatures is None:
        temperatures_c = settings.default_temperatures_c(document)
    else:
        temperatures_c = tuple(
            values_of(
                "--temperatures",
                temperatures,
                least=settings.LEAST_C,
                most=settings.MOST_C,
                unit="degrees C",
                example="16:26:2",
                count=MOST_TEMPERATURES,
            )
        )
    if initiator is None:
        levels_percent = settings.default_levels_percent(document)
    else:
        levels_percent = tuple(
            values_of(
                "--initiator",
                initiator,
                least=settings.LEAST_PERCENT,
                most=settings.MOST_PERCENT,
                unit="percent",
                example="1.2:2.0:0.2",
                count=MOST_LEVELS,
            )
        )
    return (
        settings.with_own(temperatures_c, own.mould_temperature_c),
        settings.with_own(levels_percent, own.initiator_percent),
    )


def _swept(
    case: Case,
    source: Path | None,
    temperatures_c: tuple[float, ...],
    levels_percent: tuple[float, ...],
    on_progress: OnProgress,
) -> SweepDocument:
    from optimiser.case.planning import plan_case
    from optimiser.sweep.base_plan import base_plan
    from optimiser.sweep.settings import levels_not_measured
    from optimiser.sweep.sweep import sweep as judged

    if source is None:
        plan, came_from = plan_case(case, progress=on_progress), "planned for the case's own setting"
    else:
        plan, came_from = base_plan(case, source, progress=on_progress), f"that of {source.name}"
    not_measured = levels_not_measured(case.document)
    return judged(
        case,
        plan,
        temperatures_c=temperatures_c,
        levels_percent=levels_percent,
        sequence_from=came_from,
        notes=() if not_measured is None else (not_measured,),
        progress=on_progress,
    )


def _tell(found: SweepDocument, folder: Path | None, *, as_json: bool) -> None:
    from api.cli.sweep_text import sweep_text
    from optimiser.sweep.files import rendered

    written = [] if folder is None else write_out("sweep", rendered(found), folder)
    print(found.model_dump_json(indent=2) if as_json else sweep_text(found, written), flush=True)
    if found.most_margin is None:
        raise typer.Exit(ExitCode.NOT_ADMISSIBLE)
