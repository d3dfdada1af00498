"""The example units call commands, options and settings that there are, and stop the service as it wants to be stopped.

What systemd itself makes of them: `systemd-analyze verify` finds nothing wrong with any of the four (version 252).
"""

from __future__ import annotations

import re
from configparser import ConfigParser
from pathlib import Path

import pytest
from typer import main as typer_main

from api.cli.main import app
from api.settings import Settings

DOCS = Path(__file__).parents[2] / "docs"
UNITS = sorted([*DOCS.glob("*.service"), *DOCS.glob("*.timer")])
SERVICES = [path for path in UNITS if path.suffix == ".service"]
LONGEST_STOP_S = 10
"""The promise of tests/api/test_stop.py."""


def unit(path: Path) -> ConfigParser:
    """Fails where a key stands twice in a section, but for EnvironmentFile, which is a list."""
    parser = ConfigParser(interpolation=None, comment_prefixes="#", delimiters="=")
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    lines = path.read_text().splitlines()
    files = [line for line in lines if line.startswith("EnvironmentFile=")]
    parser.read_string("\n".join(line for line in lines if line not in files[1:]))
    return parser


def test_there_are_a_service_a_worker_and_a_nightly_run() -> None:
    """The tests below would say nothing about an empty list."""
    assert [path.name for path in UNITS] == [
        "tapcall-revalidate.service",
        "tapcall-revalidate.timer",
        "tapcall-work.service",
        "tapcall.service",
    ]


@pytest.mark.parametrize("path", SERVICES, ids=lambda path: path.name)
def test_the_command_and_its_options_are_there(path: Path) -> None:
    """Each unit calls the command that its name says; every option in it, comments included, is one of it."""
    program, name, *arguments = unit(path)["Service"]["ExecStart"].split()
    assert program.endswith("/bin/tapcall")
    assert name == {"tapcall": "serve"}.get(path.stem, path.stem.removeprefix("tapcall-"))
    commands = typer_main.get_command(app).commands  # type: ignore[attr-defined]
    known = {text for parameter in commands[name].params for text in (*parameter.opts, *parameter.secondary_opts)}
    used = [word for word in arguments if word.startswith("-")]
    changes = re.findall(r"^#\s+CHANGE=(.*)$", path.read_text(), re.MULTILINE)
    used += [word for change in changes for word in change.split() if word.startswith("--")]
    assert set(used) <= known
    assert ("$CHANGE" in arguments) == bool(changes)


@pytest.mark.parametrize("path", UNITS, ids=lambda path: path.name)
def test_the_settings_named_are_settings(path: Path) -> None:
    """Those that are set, and those that a comment speaks of."""
    names = set(re.findall(r"TAPCALL_([A-Z_]+)", path.read_text()))
    assert names <= {field.upper() for field in Settings.model_fields}
    assert names or path.suffix == ".timer"


@pytest.mark.parametrize("path", SERVICES, ids=lambda path: path.name)
def test_a_stop_is_told_to_the_main_process_alone_and_given_its_time(path: Path) -> None:
    """Otherwise its children would die under it, and jobs would count as lost instead of handed back."""
    service = unit(path)["Service"]
    assert service["KillMode"] == "mixed"
    assert int(service["TimeoutStopSec"]) >= 2 * LONGEST_STOP_S
    assert service["OOMPolicy"] == "continue"
    if service["Type"] != "oneshot":
        assert service["Restart"] == "on-failure"


def test_all_units_use_one_store_as_one_user() -> None:
    """And nothing else of the machine may be written."""
    services = [unit(path)["Service"] for path in SERVICES]
    for key in ("User", "Group", "StateDirectory", "Environment", "ProtectSystem", "NoNewPrivileges", "UMask"):
        assert len({service[key] for service in services}) == 1
    first = services[0]
    assert first["ProtectSystem"] == "strict"
    assert (
        first["Environment"]
        == f"TAPCALL_DATA=/var/lib/{first['StateDirectory']}"
        == f"TAPCALL_DATA={first['WorkingDirectory']}"
    )


def test_the_timer_starts_the_run() -> None:
    """Every night, also where the machine was off."""
    timer = unit(DOCS / "tapcall-revalidate.timer")["Timer"]
    assert (DOCS / timer["Unit"]).is_file()
    assert re.fullmatch(r"\*-\*-\* \d\d:\d\d", timer["OnCalendar"])
    assert timer["Persistent"] == "true"
