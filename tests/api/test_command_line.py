"""The command line as a shell script meets it: exit codes, data and faults apart, whole files only."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument

Tapcall = Callable[..., Any]

GOOD_ORDER = """
steps:
  - {action: open, label: "1", when: {start: true}}
  - {action: open, label: "2", when: {reached: "2"}}
"""
STARVED_ORDER = """
steps:
  - {action: open, label: "2", when: {start: true}}
  - {action: close, label: "2", when: {clock_s: 5}}
"""


def _files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


@pytest.fixture
def order(tmp_path: Path) -> Callable[[str], Path]:
    def write(text: str) -> Path:
        path = tmp_path / "order.yaml"
        path.write_text(text)
        return path

    return write


def test_a_plan_is_told_on_stdout_and_written_whole(
    tapcall_process: Tapcall, tiny_path: Path, tmp_path: Path
) -> None:
    """Exit 0; the short result names every file; nothing temporary stays; plan.json is a plan document."""
    ended = tapcall_process("plan", tiny_path, "--out", "out")
    assert ended.returncode == 0, ended.stderr
    assert "verified" in ended.stdout
    assert "DO NOT INFUSE" not in ended.stdout
    written = {line.removeprefix("Wrote ") for line in ended.stdout.splitlines() if line.startswith("Wrote ")}
    assert {f"out/{name}" for name in _files(tmp_path / "out")} == written
    plan = PlanDocument.model_validate_json((tmp_path / "out" / "plan.json").read_bytes())
    assert plan.verdict == "verified"
    assert "\x1b" not in ended.stderr
    assert "Traceback" not in ended.stderr


def test_json_alone_is_data_and_writes_no_file(tapcall: Tapcall, tiny_path: Path, tmp_path: Path) -> None:
    """stdout is the plan and nothing else, and without --out the folder stays empty."""
    ended = tapcall("plan", tiny_path, "--json")
    assert ended.returncode == 0, ended.stderr
    assert PlanDocument.model_validate_json(ended.stdout).verdict == "verified"
    assert _files(tmp_path) == set()


def test_variations_are_counted_in_the_result(tapcall: Tapcall, tiny_path: Path, order: Callable[[str], Path]) -> None:
    """--scenarios says how many, of a plan and of a sequence of one's own; too few is bad input, named by its place."""
    ended = tapcall("check", tiny_path, order(GOOD_ORDER), "--scenarios", "20", "--json")
    assert ended.returncode == 0, ended.stderr
    assert json.loads(ended.stdout)["robustness"]["variations"] == 20
    ended = tapcall("plan", tiny_path, "--scenarios", "20", "--out", "out")
    assert "Variations: In 20 played variations" in ended.stdout
    ended = tapcall("plan", tiny_path, "--scenarios", "3", "--out", "out")
    assert (ended.returncode, "/search/scenarios" in ended.stderr) == (2, True)


def test_a_good_sequence_of_ones_own_is_clean(
    tapcall: Tapcall, tiny_path: Path, order: Callable[[str], Path]
) -> None:
    """Exit 0, and the plan says that it was only checked."""
    ended = tapcall("check", tiny_path, order(GOOD_ORDER), "--json")
    assert ended.returncode == 0, ended.stderr
    assert json.loads(ended.stdout)["proof"]["status"] == "checked_only"


def test_a_sequence_that_would_not_wet_out_ends_with_three(
    tapcall: Tapcall, tiny_path: Path, order: Callable[[str], Path]
) -> None:
    """Exit 3, and the first line says not to shoot."""
    ended = tapcall("check", tiny_path, order(STARVED_ORDER))
    assert ended.returncode == 3, ended.stderr
    assert "DO NOT INFUSE" in ended.stdout.splitlines()[0]


def test_a_case_without_an_admissible_sequence_ends_with_three(
    tapcall: Tapcall, tiny_case: dict[str, Any], tmp_path: Path
) -> None:
    """A resin that gels within three minutes: exit 3 with the requirement that is not met."""
    for point, gel_time_min in zip(tiny_case["resin"]["gel_time_points"], (3, 2), strict=True):
        point["gel_time_min"] = gel_time_min
    (tmp_path / "fast.json").write_text(json.dumps(tiny_case))
    ended = tapcall("plan", "fast.json", "--out", "out")
    assert ended.returncode == 3, ended.stderr
    assert "DO NOT INFUSE" in ended.stdout
    assert "Not met: " in ended.stdout


def test_what_was_understood_is_read_back(tapcall: Tapcall, tiny_path: Path) -> None:
    """Names of the user and what was assumed stand in the text; --json gives the same as data."""
    text, data = tapcall("readback", tiny_path), tapcall("readback", tiny_path, "--json")
    assert (text.returncode, data.returncode) == (0, 0), text.stderr + data.stderr
    assert "tiny panel" in text.stdout
    assert "four plies" in text.stdout
    assert isinstance(json.loads(data.stdout), dict)


@pytest.mark.parametrize("command", ["plan", "check", "readback"])
@pytest.mark.parametrize("case", ["missing.yaml", ".", "broken.yaml", "picture.png", "two-faults.json"])
def test_a_bad_case_ends_with_two_and_writes_nothing(
    tapcall: Tapcall,
    tiny_case: dict[str, Any],
    tmp_path: Path,
    order: Callable[[str], Path],
    command: str,
    case: str,
) -> None:
    """One line for each fault on stderr, stdout empty, no trace, no file left behind."""
    tiny_case["process"]["vacuum_mbar_abs"] = "deep"
    tiny_case["feed_lines"][1]["bore_mm"] = -3
    (tmp_path / "two-faults.json").write_text(json.dumps(tiny_case))
    (tmp_path / "broken.yaml").write_text("name: [unfinished")
    (tmp_path / "picture.png").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    arguments = [command, case, *([str(order(GOOD_ORDER))] if command == "check" else [])]
    before = _files(tmp_path)
    ended = tapcall(*arguments, *(["--out", "out"] if command != "readback" else []))
    assert ended.returncode == 2
    assert ended.stdout == ""
    assert "Traceback" not in ended.stderr
    assert len(ended.stderr.splitlines()) == (2 if case == "two-faults.json" else 1)
    assert all(": found " in line and "; expected " in line for line in ended.stderr.splitlines())
    assert _files(tmp_path) == before


def test_a_mistyped_demo_is_named(tapcall: Tapcall) -> None:
    """What was probably meant, and where to find the others."""
    assert "did you mean flat_panel?" in tapcall("plan", "flat_pannel").stderr
    assert "tapcall demos lists" in tapcall("plan", "monday").stderr


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["check", ".", "broken.yaml"], 2),
        (["plan", "TINY", "--out", "broken.yaml"], 2),
        (["readback", "TINY"], 0),
    ],
)
def test_a_shell_sees_the_same_codes(
    tapcall_process: Tapcall, tiny_path: Path, tmp_path: Path, arguments: list[str], code: int
) -> None:
    """In a process of its own: the exit code, and data and faults on their own streams."""
    (tmp_path / "broken.yaml").write_text("name: [unfinished")
    ended = tapcall_process(*[tiny_path if each == "TINY" else each for each in arguments])
    assert ended.returncode == code, ended.stderr
    assert (ended.stdout == "", ended.stderr == "") == (code != 0, code == 0)
    assert len(ended.stderr.splitlines()) == (1 if code else 0)


@pytest.mark.parametrize(
    "text", ["steps: []", "steps: [{action: fly, label: '1', when: {start: true}}]", "x"]
)
def test_a_bad_sequence_ends_with_two(
    tapcall: Tapcall, tiny_path: Path, order: Callable[[str], Path], text: str
) -> None:
    """The faults of a sequence are told like those of a case."""
    ended = tapcall("check", tiny_path, order(text))
    assert ended.returncode == 2
    assert "expected" in ended.stderr
    assert ended.stdout == ""


def test_a_sequence_with_an_unknown_tap_ends_with_two(
    tapcall: Tapcall, tiny_path: Path, order: Callable[[str], Path]
) -> None:
    """A label that is on no tap of the case is bad input, not a lock."""
    ended = tapcall("check", tiny_path, order(GOOD_ORDER.replace('label: "2"', 'label: "22"')))
    assert ended.returncode == 2
    assert "22" in ended.stderr


@pytest.mark.parametrize("out", ["a-file", "a-file/below", "/proc/nowhere"])
def test_a_folder_that_cannot_be_written_is_refused_before_planning(
    tapcall: Tapcall, tiny_path: Path, tmp_path: Path, out: str
) -> None:
    """Exit 2 at once, so that nobody waits for a plan that cannot be put down; what was there stays."""
    (tmp_path / "a-file").write_text("mine")
    ended = tapcall("plan", tiny_path, "--out", out)
    assert ended.returncode == 2
    assert ended.stderr.startswith("--out: found ")
    assert len(ended.stderr.splitlines()) == 1
    assert (tmp_path / "a-file").read_text() == "mine"


def test_the_schema_and_the_demos_are_printed(tapcall: Tapcall) -> None:
    """Both on stdout; every demo that is listed is a file that can be read."""
    schema, demos = tapcall("schema"), tapcall("demos")
    assert "properties" in json.loads(schema.stdout)
    listed = dict(line.split("\t") for line in demos.stdout.splitlines())
    assert "hull_side" in listed
    assert all(Path(path).is_file() for path in listed.values())


def test_help_is_given_in_words_with_an_example(tapcall: Tapcall) -> None:
    """Every command explains itself."""
    for command in ("plan", "check", "readback", "schema", "demos", "serve", "work", "revalidate", "backup", "restore"):
        ended = tapcall(command, "--help")
        assert ended.returncode == 0
        assert f"Example: tapcall {command}" in ended.stdout


def test_the_version_is_printed(tapcall: Tapcall) -> None:
    """Name and version, on stdout."""
    assert tapcall("--version").stdout.startswith("tapcall ")


@pytest.mark.parametrize(
    ("arguments", "code"), [(["nonsense"], 2), (["plan", "--nonsense"], 2), (["serve", "--port", "99999"], 2)]
)
def test_a_slip_on_the_command_line_is_bad_input(tapcall: Tapcall, arguments: list[str], code: int) -> None:
    """Exit 2, stdout empty, no trace."""
    ended = tapcall(*arguments)
    assert (ended.returncode, ended.stdout) == (code, "")
    assert "Traceback" not in ended.stderr


def test_a_setting_of_the_environment_that_cannot_be_used_is_named(tapcall: Tapcall) -> None:
    """The variable is named as it is written in the shell."""
    ended = tapcall("serve", TAPCALL_LEASE_S="long")
    assert ended.returncode == 2
    assert ended.stderr.startswith("TAPCALL_LEASE_S: found ")


@pytest.mark.parametrize(
    ("host", "says"),
    [("127.0.0.1", "another program listens there; stop it, or choose another port"),
     ("192.0.2.1", "this machine has no such address")],
)  # fmt: skip
def test_where_it_cannot_listen_one_line_says_what_to_do(tapcall: Tapcall, host: str, says: str) -> None:
    """Exit 1: a port that is taken, an address of nobody (RFC 5737)."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        ended = tapcall("serve", "--port", str(port), "--data", "elsewhere", "--host", host)
    assert ended.returncode == 1
    (line,) = ended.stderr.splitlines()
    assert line.startswith(f"cannot listen on {host} port {port}: ")
    assert says in line


def test_a_closed_pipe_is_no_trace(start_tapcall: Callable[..., subprocess.Popen[str]]) -> None:
    """`tapcall schema | true` ends quietly, with the exit code that a shell gives to SIGPIPE (128 + 13)."""
    running = start_tapcall("schema")
    running.stdout.close()
    _, stderr = running.communicate()
    assert stderr == ""
    assert running.returncode == 141


def test_control_c_gives_the_best_plan_so_far(
    start_tapcall: Callable[..., subprocess.Popen[str]], tiny_path: Path, tmp_path: Path
) -> None:
    """Once: the plan is verified, written, and says that it was interrupted."""
    running = start_tapcall("plan", tiny_path, "--out", "out")
    assert running.stderr.readline()
    running.send_signal(signal.SIGINT)
    stdout, stderr = running.communicate()
    assert running.returncode == 0, stderr
    assert "planning was interrupted" in stdout
    assert "plan.json" in _files(tmp_path / "out")


def _interrupted(running: subprocess.Popen[str]) -> str:
    """What it says on stderr when Ctrl-C ends it."""
    while True:
        running.send_signal(signal.SIGINT)
        try:
            return running.communicate(timeout=2)[1]
        except subprocess.TimeoutExpired:
            continue


@pytest.mark.parametrize("command", [("plan",), ("check",)])
def test_control_c_before_anything_is_played_says_so(
    start_tapcall: Callable[..., subprocess.Popen[str]], tmp_path: Path, command: tuple[str, ...]
) -> None:
    """While the case is still being read, here from a pipe that never ends: one line, 130, no file.

    Python does not notice a signal that comes just before it begins to read: then it is sent again.
    """
    case = tmp_path / "case.yaml"
    os.mkfifo(case)
    running = start_tapcall(*command, case, *(["order.yaml"] if command == ("check",) else []), "--out", "out")
    with case.open("w") as writer:  # opens when somebody reads
        writer.write("schema_version: 1\n")
        writer.flush()
        stderr = _interrupted(running)
    assert running.returncode == 130
    (line,) = stderr.splitlines()
    assert line.startswith("Interrupted before ")
    assert "no file was written" in line
    assert not (tmp_path / "out").exists()


def test_control_c_ends_with_130_and_no_trace(
    start_tapcall: Callable[..., subprocess.Popen[str]], tiny_path: Path, tmp_path: Path
) -> None:
    """Interrupted twice while planning: one word on stderr, no half-written file."""
    running = start_tapcall("plan", tiny_path, "--out", "out")
    first_phase = running.stderr.readline()
    running.send_signal(signal.SIGINT)
    lines = iter(running.stderr.readline, "")
    assert any("Ctrl-C again ends at once" in line for line in lines)
    running.send_signal(signal.SIGINT)
    _, stderr = running.communicate()
    assert first_phase
    assert running.returncode == 130
    assert stderr.splitlines()[-1] == "Interrupted."
    assert "Traceback" not in stderr
    assert _files(tmp_path / "out") == set()
