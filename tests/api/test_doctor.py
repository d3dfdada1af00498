"""The doctor says what is wrong and what to do, for every thing that can be wrong, and changes nothing."""

from __future__ import annotations

import json
import shutil
import socket
import sqlite3
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pydantic import SecretStr
from sqlalchemy import insert, select, text, update

from api.doctor.clock import rows_from_the_future
from api.doctor.contradictions import busy_timeout, keys_and_address, leases, unused_folder, workers_here
from api.doctor.data_folder import file_system, files, folder
from api.doctor.disk import free_disk
from api.doctor.engine_address import engine as engine_finding
from api.doctor.examine import examine
from api.doctor.finding import Finding, State
from api.doctor.jobs_in_store import items_set_aside, jobs_given_up, waiting_jobs
from api.doctor.keys_in_store import good_keys, keys_that_end
from api.doctor.memory import address_space, cgroup_limit, memory
from api.doctor.port import port
from api.doctor.variables import variables
from api.doctor.versions import Wanted, packages, python_version, wanted
from api.doctor.webhooks_in_store import deliveries_given_up, ended_webhooks, overdue_deliveries
from api.jobs.attempt import Patience, claim, give_up
from api.keys.keys import make as make_key
from api.keys.scopes import Scope
from api.settings import Settings
from api.store.database import Database
from api.store.instants import now
from api.store.tables import api_keys, attempts, deliveries, jobs, plans, revalidation_items, revalidations
from api.webhooks.webhooks import add, end

Ask = Callable[..., str]
OK, WARNING, TROUBLE = State.OK, State.WARNING, State.TROUBLE
ANY_PORT = {"TAPCALL_PORT": "0"}


@pytest.fixture
def data(migrated_file: Path, tmp_path: Path) -> Path:
    """A data folder as a service that was stopped leaves it, with one key."""
    made = tmp_path / "data"
    made.mkdir()
    store = Database(f"sqlite:///{shutil.copy(migrated_file, made / 'tapcall.sqlite3')}", busy_timeout_s=10.0)
    with store.write() as connection:
        make_key(connection, name="tests", scopes=[Scope.READ])
    store.close()
    return made


def contents(data: Path) -> dict[str, tuple[bytes, float]]:
    return {path.name: (path.read_bytes(), path.stat().st_mtime) for path in data.iterdir()}


def found(store: Database, check: Callable[..., Finding], *more: Any) -> Finding:
    with store.read() as connection:
        return check(connection, *more)


def change(store: Database, *statements: Any) -> None:
    with store.write() as connection:
        for statement in statements:
            connection.execute(statement)


def test_a_sound_service_has_no_trouble_and_is_left_as_it_was(data: Path, tapcall: Callable[..., Any]) -> None:
    """Exit code 0, one line for each thing, and not a byte, a time or a file of the data folder has changed."""
    before = contents(data)
    ended = tapcall("doctor", "--data", data, **ANY_PORT)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.splitlines()[-1].startswith("0 trouble, ")
    for thing in (
        "Python",
        "packages",
        "data folder",
        "soundness of the store",
        "tables of the store",
        "keys",
        "engine",
    ):
        assert f"ok       {thing}: " in ended.stdout
    assert contents(data) == before


def test_a_program_is_told_the_same_as_a_person(data: Path, tapcall: Callable[..., Any]) -> None:
    """--json: one document with the worst state, and each finding with its four fields."""
    said = tapcall("doctor", "--data", data, **ANY_PORT).stdout
    document = json.loads(tapcall("doctor", "--json", "--data", data, **ANY_PORT).stdout)
    assert document["state"] in ("ok", "warning")
    for finding in document["findings"]:
        assert set(finding) == {"what", "state", "found", "do"}
        assert (finding["do"] == "") == (finding["state"] == "ok")
        assert finding["what"] == "clock" or f"{finding['what']}: {finding['found']}" in said


def test_a_store_in_use_is_looked_at_as_it_is_now(service: Any, tapcall: Callable[..., Any]) -> None:
    """With a service at work on it: the write-ahead log is read too, and the service answers on its port."""
    before = {path.name for path in service.data.iterdir()}
    at = str(service.client.base_url.port)
    ended = tapcall("doctor", "--json", "--data", service.data, TAPCALL_PORT=at)
    findings = {each["what"]: each for each in json.loads(ended.stdout)["findings"]}
    assert findings["keys"]["found"] == "1 are good"
    assert findings["tables of the store"]["state"] == "ok"
    assert findings[f"port {at}"]["found"].endswith("answers, and is ready")
    assert {path.name for path in service.data.iterdir()} == before


def test_trouble_ends_with_code_1_and_says_what_to_do(tmp_path: Path, tapcall: Callable[..., Any]) -> None:
    """A data folder that is a file."""
    place = tmp_path / "file"
    place.write_text("")
    ended = tapcall("doctor", "--data", place, **ANY_PORT)
    assert ended.returncode == 1
    assert f"trouble  data folder: {place} is a file\n         -> name a folder" in ended.stdout


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path, tapcall: Callable[..., Any]) -> None:
    """A warning: it may be new, or misspelt."""
    ended = tapcall("doctor", "--data", tmp_path / "new", **ANY_PORT)
    assert ended.returncode == 0
    assert "warning  data folder: " in ended.stdout
    assert not (tmp_path / "new").exists()


def test_a_setting_that_cannot_be_used_is_trouble_and_not_the_end(tapcall: Callable[..., Any]) -> None:
    """It is named, and what does not depend on it is still looked at."""
    ended = tapcall("doctor", TAPCALL_PORT="eighty")
    assert ended.returncode == 1
    assert "trouble  TAPCALL_PORT: eighty cannot be used" in ended.stdout
    assert "ok       Python: " in ended.stdout


def test_no_password_and_no_key_is_ever_printed(tapcall: Callable[..., Any]) -> None:
    """Of a database that does not answer, and of one whose address is a key by mistake."""
    secret = "correct horse/battery"
    for url in (f"postgresql+psycopg://u:{secret.replace('/', '%2F')}@127.0.0.1:1/t", f"postgres-{secret}"):
        ended = tapcall("doctor", TAPCALL_DATABASE_URL=url, **ANY_PORT)
        assert ended.returncode == 1
        assert "trouble  store: it does not answer" in ended.stdout
        assert "horse" not in ended.stdout + ended.stderr


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
        (leases, {"lease_s": 12.0, "heartbeat_s": 3.0}, WARNING),
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


def told(data: Path, **settings: Any) -> dict[str, Finding]:
    return {finding.what: finding for finding in examine(Settings(data=data, port=0, **settings))}


def test_a_damaged_store_is_trouble_and_the_last_backup_is_pointed_to(data: Path) -> None:
    """Pages in the middle overwritten, as a failing disk does: PRAGMA quick_check is the judge."""
    file = data / "tapcall.sqlite3"
    page_bytes = 4096
    with file.open("r+b") as opened:
        opened.seek(2 * page_bytes)
        opened.write(b"\xa5" * (file.stat().st_size - 3 * page_bytes))
    findings = told(data)
    assert findings["soundness of the store"].state is TROUBLE
    assert "tapcall restore" in findings["soundness of the store"].do


def test_a_store_without_a_write_ahead_log_and_one_with_a_huge_one_are_told(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both are changed from outside: by another program, or by a reader that never ends."""
    monkeypatch.setattr("api.doctor.sqlite_store._LARGE_LOG_BYTES", 1000)
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=1.0)
    change(store, update(api_keys).values(name="held"))
    assert told(data)["journal of the store"].state is WARNING
    store.close()
    assert told(data)["journal of the store"].state is OK
    plain = sqlite3.connect(data / "tapcall.sqlite3")
    plain.execute("PRAGMA journal_mode=DELETE")
    plain.close()
    assert told(data)["journal of the store"].state is WARNING


def test_an_older_store_is_a_warning_and_a_newer_one_is_trouble(data: Path) -> None:
    """Neither is looked into any further, and neither is changed."""
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=1.0)
    change(store, text("UPDATE alembic_version SET version_num = '9999'"))
    assert told(data)["tables of the store"].state is TROUBLE
    store.close()
    (data / "tapcall.sqlite3").unlink()
    old = sqlite3.connect(data / "tapcall.sqlite3")
    old.executescript((Path(__file__).parent / "stores" / "0001.sql").read_text())
    old.close()
    findings = told(data)
    assert findings["tables of the store"].state is WARNING
    assert "tapcall backup" in findings["tables of the store"].do
    assert "keys" not in findings


def test_the_same_is_looked_at_on_either_engine(store: Database, store_url: str) -> None:
    """A store at a URL; the server of these tests may run without fsync, and is told about then."""
    settings = Settings(database_url=SecretStr(store_url), port=0)
    findings = {finding.what: finding for finding in examine(settings)}
    assert findings["tables of the store"].state is OK
    assert findings["keys"].state is TROUBLE
    if store.url.get_backend_name() == "postgresql":
        assert findings["PostgreSQL"].state is OK
        assert findings["clock of the PostgreSQL server"].state is OK
        assert findings["programs for the backup"].state is OK
        with store.read() as connection:
            is_synced = connection.exec_driver_sql("SHOW fsync").scalar_one() == "on"
        assert (findings["PostgreSQL durability"].state is OK) == is_synced
    else:
        assert findings["soundness of the store"].state is OK


def test_keys_that_are_missing_or_about_to_end_are_told(store: Database) -> None:
    """Revoked and ended ones open nothing; one that ends within a fortnight is named, by its id."""
    assert found(store, good_keys, Settings()).state is TROUBLE
    assert found(store, good_keys, Settings(keys=False)).state is OK
    with store.write() as connection:
        ending = make_key(connection, name="a", scopes=[Scope.READ], expires_at=now() + timedelta(days=13))
        make_key(connection, name="b", scopes=[Scope.READ], expires_at=now() + timedelta(days=15))
        make_key(connection, name="c", scopes=[Scope.READ], expires_at=now() - timedelta(days=1))
    assert found(store, good_keys, Settings()).found == "2 are good"
    finding = found(store, keys_that_end)
    assert finding.state is WARNING
    assert finding.found.count("(") == 1
    assert ending.id in finding.found
    assert ending.secret not in finding.found


def test_jobs_that_nobody_works_on_are_trouble(store: Database, ask: Ask) -> None:
    """A job that waits is no trouble at first, then it is, unless a worker vouches for another."""
    first = ask(store, 1)
    assert found(store, waiting_jobs).state is OK
    change(store, update(jobs).values(created_at=now() - timedelta(hours=2)))
    finding = found(store, waiting_jobs)
    assert (finding.state, finding.found) == (
        TROUBLE,
        "1 wait, 0 run; the oldest has waited 2 h, and no worker is at work",
    )
    assert claim(store, lease_s=30.0) is not None
    second = ask(store, 2)
    change(store, update(jobs).where(jobs.c.id == second).values(created_at=now() - timedelta(hours=2)))
    assert found(store, waiting_jobs).state is OK
    change(store, update(jobs).where(jobs.c.id == second).values(created_at=now() - timedelta(hours=7)))
    assert found(store, waiting_jobs).state is WARNING
    change(store, update(attempts).values(lease_until=now() - timedelta(minutes=1)))
    finding = found(store, waiting_jobs)
    assert finding.state is TROUBLE
    assert "of which nobody vouches for 1" in finding.found
    assert first != second


def test_jobs_given_up_are_told_with_their_reason(store: Database, ask: Ask) -> None:
    """For a week."""
    assert found(store, jobs_given_up).state is OK
    job_id = ask(store, 1)
    taken = claim(store, lease_s=30.0)
    assert taken is not None
    give_up(store, taken.token, reason="it needed more than 8000 MB of memory", patience=Patience(lost=1, abandoned=1))
    finding = found(store, jobs_given_up)
    assert finding.state is WARNING
    assert job_id in finding.found
    assert "more than 8000 MB" in finding.found
    change(store, update(jobs).values(updated_at=now() - timedelta(days=8)))
    assert found(store, jobs_given_up).state is OK


def test_plans_set_aside_by_a_revalidation_are_told(store: Database, ask: Ask) -> None:
    """With the reason of the newest."""
    assert found(store, items_set_aside).state is OK
    job_id = ask(store, 1)
    with store.write() as connection:
        digest = connection.execute(select(jobs.c.case_digest)).scalar_one()
        connection.execute(
            insert(plans).values(
                id="plan_1",
                job_id=job_id,
                case_digest=digest,
                software_version="1",
                verdict="verified",
                sha256="0" * 64,
                document="{}",
                created_at=now(),
            )
        )
        connection.execute(
            insert(revalidations).values(
                id="run_1",
                job_id=job_id,
                change="{}",
                said="[]",
                chosen="{}",
                plan_again="never",
                asked=1,
                created_at=now(),
            )
        )
        connection.execute(
            insert(revalidation_items).values(
                run_id="run_1",
                number=1,
                plan_id="plan_1",
                state="set_aside",
                tries=3,
                reason="ended its process",
                decided_at=now(),
            )
        )
    finding = found(store, items_set_aside)
    assert finding.state is WARNING
    assert "plan_1: ended its process" in finding.found


def test_webhooks_that_reach_nobody_are_told_without_their_path(store: Database) -> None:
    """Ended by their receiver, given up, or late; one that its owner deleted is nobody's trouble."""
    for check in (ended_webhooks, deliveries_given_up, overdue_deliveries):
        assert found(store, check).state is OK
    with store.write() as connection:
        ids = [
            add(connection, url=f"https://{host}.example/hush", events=[], by=None).webhook_id
            for host in ("gone", "deleted", "deaf")
        ]
        end(connection, ids[0], because="its receiver answered 410 Gone")
        end(connection, ids[1], because="it was deleted")
        late = now() - timedelta(hours=3)
        for number, times in enumerate([{"given_up_at": now()}, {"due_at": late}, {"due_at": now()}]):
            connection.execute(
                insert(deliveries).values(
                    id=f"delivery_{number}",
                    webhook_id=ids[2],
                    event="job.failed",
                    payload="{}",
                    created_at=late,
                    tries=8,
                    last_answer="status 500",
                    **times,
                )
            )
    ended, given_up, overdue = (
        found(store, check) for check in (ended_webhooks, deliveries_given_up, overdue_deliveries)
    )
    assert ended.found == f"1 within 7 days: {ids[0]} to gone.example: its receiver answered 410 Gone"
    assert given_up.found == f"1 to deaf.example ({ids[2]}), which said status 500"
    assert overdue.found == "1, the oldest by 3 h"
    assert {ended.state, given_up.state, overdue.state} == {WARNING}


@pytest.mark.parametrize(
    "written",
    [
        lambda ahead: update(jobs).values(updated_at=ahead),
        lambda ahead: update(attempts).values(lease_until=ahead + timedelta(seconds=30)),
    ],
)
def test_a_clock_that_was_ahead_is_found_by_what_it_wrote(
    store: Database, ask: Ask, written: Callable[[datetime], Any]
) -> None:
    """Rows and leases from an hour that has not come."""
    ask(store, 1)
    assert claim(store, lease_s=30.0) is not None
    assert found(store, rows_from_the_future, Settings()).state is OK
    change(store, written(now() + timedelta(minutes=61)))
    finding = found(store, rows_from_the_future, Settings())
    assert finding.state is TROUBLE
    assert "61 min later" in finding.found


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    """Something that takes connections and never says a word."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        yield listening


@pytest.fixture
def closed_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        return int(listening.getsockname()[1])


def test_a_port_is_free_or_taken(listener: socket.socket, closed_port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Free, held by a stranger, or on an address that this machine has not (RFC 5737: 192.0.2.0/24 is nobody's)."""
    monkeypatch.setattr("api.doctor.port._LONGEST_WAIT_S", 0.3)
    assert port(Settings(port=closed_port)).state is OK
    assert "free on 127.0.0.1" in port(Settings(port=closed_port)).found
    assert port(Settings(port=listener.getsockname()[1])).found == "taken by something that is not tapcall"
    assert port(Settings(port=closed_port, host="192.0.2.1")).state is TROUBLE


def test_an_engine_that_does_not_answer_is_trouble(
    listener: socket.socket, closed_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody there, somebody who is no scheduler, and an address that is none; each wait has an end."""
    monkeypatch.setattr("api.doctor.engine_address._LONGEST_WAIT_S", 0.5)
    assert engine_finding(None).state is OK
    assert "does not answer" in engine_finding(f"tcp://127.0.0.1:{closed_port}").found
    assert "is no scheduler" in engine_finding(f"tcp://127.0.0.1:{listener.getsockname()[1]}").found
    assert engine_finding("somewhere").found == engine_finding("tcp://h:high").found == "TAPCALL_ENGINE is no address"


@pytest.fixture
def cluster() -> Iterator[Any]:
    """A scheduler of dask and one worker, in this process, behind a port of this machine."""
    from distributed import LocalCluster

    small: dict[str, Any] = {"n_workers": 1, "threads_per_worker": 1, "processes": False, "dashboard_address": None}
    with LocalCluster(protocol="tcp", host="127.0.0.1", **small) as made:
        yield made


def test_an_engine_that_answers_is_asked_for_its_workers(cluster: Any, wait_for: Callable[..., Any]) -> None:
    """Their number is told; a scheduler without any would let every run wait."""
    finding = engine_finding(cluster.scheduler_address)
    assert finding.state is OK
    assert finding.found.startswith("1 workers behind 127.0.0.1 port ")
    cluster.scale(0)
    wait_for(lambda: None if cluster.scheduler.workers else True, "the worker to be gone")
    assert engine_finding(cluster.scheduler_address).state is WARNING
