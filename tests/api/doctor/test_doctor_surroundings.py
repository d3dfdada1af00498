"""Python, packages, settings, memory, disks and ports: each thing that can be wrong with them is found."""

from __future__ import annotations

import socket
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pydantic import SecretStr

from api.doctor.contradictions import busy_timeout, keys_and_address, leases, unused_folder, workers_here
from api.doctor.data_folder import file_system, files, folder
from api.doctor.disk import free_disk
from api.doctor.finding import Finding, State
from api.doctor.memory import address_space, cgroup_limit, memory
from api.doctor.port import port
from api.doctor.variables import variables
from api.doctor.versions import Wanted, packages, python_version, wanted
from api.settings import Settings

OK, WARNING, TROUBLE = State.OK, State.WARNING, State.TROUBLE


def test_what_the_program_needs_is_compared_with_what_is_there() -> None:
    """PEP 440 ranges and PEP 508 markers; a package of an extra is only compared where it is installed."""
    here = {"alpha": "1.5", "beta": "2.0", "delta": "9"}

    def installed(name: str) -> str:
        if name not in here:
            raise PackageNotFoundError(name)
        return here[name]

    good = ("alpha>=1.4,<2", "gamma>=1 ; sys_platform == 'nowhere'", "epsilon ; extra == 'engine'")
    assert packages(Wanted(python=">=3.11", packages=good), installed).state is OK
    bad = (*good, "beta>=2.1,<3", "missing>=1", "delta<2 ; extra == 'engine'")
    finding = packages(Wanted(python=">=3.11", packages=bad), installed)
    assert finding.state is TROUBLE
    assert finding.found == "beta 2.0, wanted <3,>=2.1; missing is missing; delta 9, wanted <2"
    assert python_version(Wanted(python="<3", packages=())).state is TROUBLE
    assert python_version(None).state is WARNING
    needs = wanted()
    assert needs is not None
    assert any(each.startswith("sqlalchemy") for each in needs.packages)


def test_a_misspelt_variable_is_told_with_the_name_that_is_near() -> None:
    """Its value is not shown: it may be a password."""
    finding = variables({"TAPCALL_PROT": "8081", "TAPCALL_DATABASE_UR": "secret", "tapcall_host": "::1", "HOME": "/"})
    assert finding.state is WARNING
    assert "TAPCALL_PROT is no setting, TAPCALL_PORT is" in finding.found
    assert "TAPCALL_DATABASE_UR is no setting, TAPCALL_DATABASE_URL is" in finding.found
    assert "secret" not in finding.found
    assert "host" not in finding.found
    assert variables({"TAPCALL_PORT": "1", "PATH": ""}).state is OK


@pytest.mark.parametrize(
    ("check", "settings", "state"),
    [
        (leases, {}, OK),
        (leases, {"lease_s": 12.0, "heartbeat_s": 4.0}, WARNING),
        (leases, {"lease_s": 12.0, "heartbeat_s": 3.0, "busy_timeout_s": 10.0}, WARNING),
        (leases, {"lease_s": 12.0, "heartbeat_s": 3.0, "busy_timeout_s": 5.0}, OK),
        (leases, {"lease_s": 5.0, "heartbeat_s": 5.0}, TROUBLE),
        (leases, {"poll_s": 31.0}, TROUBLE),
        (busy_timeout, {}, OK),
        (busy_timeout, {"busy_timeout_s": 0.1}, WARNING),
        (keys_and_address, {"host": "0.0.0.0"}, OK),
        (keys_and_address, {"keys": False}, OK),
        (keys_and_address, {"keys": False, "host": "0.0.0.0"}, TROUBLE),
        (workers_here, {}, OK),
        (workers_here, {"job_processes": 0}, WARNING),
        (unused_folder, {"data": Path("x")}, OK),
        (unused_folder, {"data": Path("x"), "database_url": SecretStr("postgresql://h/d")}, WARNING),
        (memory, {"job_processes": 10_000}, WARNING),
        (address_space, {}, OK),
    ],
)
def test_settings_that_speak_against_each_other_are_told(
    check: Callable[[Settings], Finding], settings: dict[str, Any], state: State
) -> None:
    """Each contradiction, its harmless neighbour, and the settings as delivered."""
    assert check(Settings(**settings)).state is state


def test_a_limit_from_outside_that_no_attempt_survives_is_trouble(monkeypatch: pytest.MonkeyPatch) -> None:
    """setrlimit(2): a hard limit can only be lowered, so asking for more than it raises an error."""
    monkeypatch.setattr("resource.getrlimit", lambda _: (10**9, 10**9))
    assert address_space(Settings()).state is TROUBLE


def test_the_least_limit_of_a_control_group_counts(tmp_path: Path) -> None:
    """cgroups(7): version 2 with memory.max at each level, version 1 with a huge number for no limit."""
    own = tmp_path / "own"
    inner = tmp_path / "top" / "system.slice" / "tapcall.service"
    inner.mkdir(parents=True)
    own.write_text("0::/system.slice/tapcall.service\n")
    assert cgroup_limit(own, tmp_path / "top") is None
    (inner / "memory.max").write_text("max\n")
    (inner.parent / "memory.max").write_text("4000000000\n")
    assert cgroup_limit(own, tmp_path / "top") == 4_000_000_000
    finding = memory(Settings(), own, tmp_path / "top")
    assert finding.state is WARNING
    assert "4 GB for this control group" in finding.found

    first = tmp_path / "first" / "memory" / "group"
    first.mkdir(parents=True)
    own.write_text("12:cpu:/group\n4:memory:/group\n")
    (first / "memory.limit_in_bytes").write_text("9223372036854771712\n")
    assert cgroup_limit(own, tmp_path / "first") is None
    (first / "memory.limit_in_bytes").write_text("512000000\n")
    assert cgroup_limit(own, tmp_path / "first") == 512_000_000
    assert cgroup_limit(tmp_path / "not there", tmp_path) is None


@pytest.mark.parametrize(
    ("kind", "state"),
    [
        ("ext4", OK),
        ("nfs4", TROUBLE),
        ("cifs", TROUBLE),
        ("fuse.sshfs", TROUBLE),
        ("tmpfs", WARNING),
        ("fuse.x", WARNING),
    ],
)
def test_a_store_on_a_file_system_of_the_network_is_trouble(tmp_path: Path, kind: str, state: State) -> None:
    """proc(5): the innermost mount counts, of two on one place the later, and a blank is written \\040."""
    data = tmp_path / "a folder" / "data"
    mounts = tmp_path / "mounts"
    place = str(data.parent).replace(" ", "\\040")
    mounts.write_text(
        f"/dev/a / ext4 rw 0 0\nold:/x {place} nfs rw 0 0\nit:/x {place} {kind} rw 0 0\nx /elsewhere nfs rw 0 0\n"
    )
    finding = file_system(data, mounts)
    assert finding.state is state
    assert str(data.parent) in finding.found
    assert file_system(data, tmp_path / "not there").state is WARNING


def test_files_that_the_service_cannot_write_are_trouble(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a command that was once run as another user leaves them; and a folder of others."""
    assert files(data).state is OK
    monkeypatch.setattr("os.access", lambda *_: False)
    assert (files(data).state, folder(data).state) == (TROUBLE, TROUBLE)
    assert folder(data / "below" / "that").state is TROUBLE


@pytest.mark.parametrize(("free_bytes", "state"), [(1e8, TROUBLE), (1e9, WARNING), (1e12, OK)])
def test_a_disk_that_is_nearly_full_is_told(
    data: Path, monkeypatch: pytest.MonkeyPatch, free_bytes: float, state: State
) -> None:
    """Before it is full."""
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=free_bytes))
    assert free_disk(data).state is state


def test_a_port_is_free_or_taken(listener: socket.socket, closed_port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Free, held by a stranger, or on an address that this machine has not (RFC 5737: 192.0.2.0/24 is nobody's)."""
    monkeypatch.setattr("api.doctor.port._LONGEST_WAIT_S", 0.3)
    assert port(Settings(port=closed_port)).state is OK
    assert "free on 127.0.0.1" in port(Settings(port=closed_port)).found
    assert port(Settings(port=listener.getsockname()[1])).found == "taken by something that is not tapcall"
    assert port(Settings(port=closed_port, host="192.0.2.1")).state is TROUBLE
