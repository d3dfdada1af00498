"""`tapcall doctor`."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import Debug, ExitCode, ending_well
from api.cli.service_settings import DataFolder, Port, settings_with
from optimiser.errors import InputError

if TYPE_CHECKING:
    from api.doctor.finding import Finding


def doctor(
    data: DataFolder = None,
    port: Port = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout, for programs.")] = False,
    debug: Debug = False,
) -> None:
    """Look at all that the service stands on, and say what is wrong and what to do about it.

    Nothing is changed, and the service may run meanwhile. Run it as the user who runs the service, with the same
    environment. Exit code 1 where there is trouble, 0 where there are warnings at most.

    Example: tapcall doctor --data shop-data
    """
    with ending_well(debug=debug):
        from api.cli.doctor_text import as_plain, last_line, lines_of
        from api.doctor.finding import State, worst
        from optimiser import __version__

        findings = []
        for finding in _findings(data, port):
            findings.append(finding)
            if not as_json:
                print(lines_of(finding), flush=True)
        print(json.dumps(as_plain(findings, __version__), indent=2) if as_json else last_line(findings), flush=True)
        if worst(finding.state for finding in findings) is State.TROUBLE:
            raise typer.Exit(ExitCode.OUR_FAULT)


def _findings(data: DataFolder, port: Port) -> Iterator[Finding]:
    from api.doctor.examine import examine, examine_program
    from api.doctor.secrets_left_out import without
    from api.doctor.variables import unusable

    yield from examine_program(os.environ)
    try:
        settings = settings_with(data=data, port=port)
    except InputError as error:
        yield from map(unusable, error.faults)
        return
    for finding in examine(settings):
        yield replace(finding, found=without(settings, finding.found))
