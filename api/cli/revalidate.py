"""`tapcall revalidate`: stored sequences judged again, from the shell or from cron."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.change_options import named_by_option, written_change
from api.cli.exits import Debug, ExitCode, ending_well, say
from api.cli.report_folder import put, report_folder
from api.cli.service_settings import DataFolder, plain_store_errors, settings_with
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from api.reports.report_document import RevalidationReport
    from api.settings import Settings


class PlanAgainOption(StrEnum):
    NEVER = "never"
    INVALID = "invalid"
    ALL = "all"


def revalidate(
    data: DataFolder = None,
    gel_test: Annotated[
        str | None,
        typer.Option(metavar="C:PERCENT:MIN", help="A gel test: temperature, initiator level, minutes; 20:1.5:74."),
    ] = None,
    mould_temperature_c: Annotated[float | None, typer.Option(help="Of the mould now.")] = None,
    resin_temperature_c: Annotated[float | None, typer.Option(help="Of the resin now.")] = None,
    initiator_level_percent: Annotated[float | None, typer.Option(help="The level for all shots.")] = None,
    vacuum_mbar_abs: Annotated[float | None, typer.Option(help="What is left under the bag now.")] = None,
    ambient_mbar_abs: Annotated[float | None, typer.Option(help="Pressure of the air now, as read.")] = None,
    gel_fraction_percent: Annotated[
        float | None, typer.Option(help="Share of the gel time that wet-out may take.")
    ] = None,
    resin: Annotated[str | None, typer.Option(metavar="ID", help="A resin of the store: its newest revision.")] = None,
    batch: Annotated[str | None, typer.Option(help="A batch of that resin: its newest tests.")] = None,
    planned_for: Annotated[
        str | None, typer.Option(metavar="NAME", help="Only plans made for the resin of this name.")
    ] = None,
    planned_batch: Annotated[
        str | None, typer.Option(metavar="NAME", help="Only plans made for the batch of this name.")
    ] = None,
    part: Annotated[str | None, typer.Option(metavar="NAME", help="Only plans of the case of this name.")] = None,
    layout: Annotated[str | None, typer.Option(metavar="ID", help="Only plans asked for from this layout.")] = None,
    plan_again: Annotated[PlanAgainOption, typer.Option(help="Which are planned again.")] = PlanAgainOption.NEVER,
    go_on: Annotated[
        str | None, typer.Option("--continue", metavar="RUN", help="Go on with a run that was broken off.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder for report.json, .csv, .xlsx, .html and sheets.")
    ] = None,
    debug: Debug = False,
) -> None:
    """Judge all stored plans again after a change, and print what must be acted on.

    Works on the store directly, beside a running service or without one, and may be broken off at any moment: a
    worker, the service or --continue goes on where it was.

    Exit code: 0 every stored sheet may be used, or there is none, 3 one of them must not be used as it is printed,
    2 bad input, also where no plan fits it, 1 a fault of ours.

    Example: tapcall revalidate --gel-test 20:1.5:74 --planned-for "RESIN NAME" --out tonight
    """
    with ending_well(debug=debug), report_folder(out) as place, plain_store_errors(), named_by_option():
        values = {
            "mould_temperature_c": mould_temperature_c,
            "resin_temperature_c": resin_temperature_c,
            "initiator_level_percent": initiator_level_percent,
            "vacuum_mbar_abs": vacuum_mbar_abs,
            "ambient_mbar_abs": ambient_mbar_abs,
            "gel_fraction_percent": gel_fraction_percent,
        }
        asked = (gel_test, *values.values(), resin, batch, planned_for, planned_batch, part, layout)
        if go_on is not None and any(value is not None for value in asked):
            fault = Fault(
                path="--continue", found="a change beside it", expected="the run alone: it goes on with its own change"
            )
            raise InputError([fault])
        written = {} if go_on is not None else written_change(gel_test=gel_test, resin=resin, batch=batch, **values)
        settings = settings_with(data=data)
        from api.revalidation.from_shell import Asked, run_to_its_end
        from api.store.plans import PlanFilter

        report = run_to_its_end(
            settings,
            Asked(
                written=written,
                resin_id=resin,
                batch=batch,
                plans=PlanFilter(resin=planned_for, batch=planned_batch, name=part, layout_id=layout),
                plan_again=plan_again.value,
                run_id=go_on,
            ),
            tell=say,
            begun=place.begun,
        )
        if out is not None:
            _write(report, out, settings)
        _print(report)
        counts = report.counts
        wrong = counts.no_longer_valid + counts.new_clock + counts.set_aside + any(one.stopped for one in report.items)
        if wrong or report.state != "done":
            raise typer.Exit(ExitCode.NOT_ADMISSIBLE)


def _print(report: RevalidationReport) -> None:
    from api.reports.report_words import THIS_CHANGE_ONLY, ended, headline, planned_again

    print(headline(report))
    for sentence in (*report.change, report.looked_at, THIS_CHANGE_ONLY):
        print(f"  {sentence}")
    for item in report.items:
        if item.stopped or item.answer not in {"still_valid", "withdrawn"}:
            print(f"{item.sheet}  {item.case_name} ({item.conditions}): {ended(item.reason)} {item.action}")
            if item.replan_state == "verified":
                print(f"    New sheet {item.replan_sheet}, {item.replan_plan_id}")
            elif item.replan_state is not None:
                print(f"    Planned again: {planned_again(item)}.")
            if item.stopped:
                print(f"    On its sheet: {item.stopped}")
            if item.replan_warning:
                print(f"    Warning on the new sheet: {ended(item.replan_warning)}")
    print(f"Run {report.run_id}", flush=True)


def _write(report: RevalidationReport, folder: Path, settings: Settings) -> None:
    from api.reports.as_csv import render_csv
    from api.reports.as_html import render_html
    from api.reports.as_xlsx import render_xlsx
    from api.reports.files_to_print import SHEETS
    from api.revalidation.print_sheets import sheets_to_print

    written = set()
    for name, content in sheets_to_print(settings, report, tell=say):
        (folder / SHEETS).mkdir(exist_ok=True)
        put(folder / name, content)
        written.add(name)
    for name, content in (
        ("report.json", report.model_dump_json(indent=2).encode()),
        ("report.csv", render_csv(report)),
        ("report.xlsx", render_xlsx(report)),
        ("report.html", render_html(report, written).encode()),
    ):
        put(folder / name, content)
