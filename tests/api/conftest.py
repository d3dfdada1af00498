"""A migrated store, a real service in a process of its own, and the command line as a person calls it."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar
from uuid import uuid4

import httpx
import pytest
import yaml
from sqlalchemy import URL, NullPool, create_engine, make_url
from typer.testing import CliRunner

import api
from api.cli.main import app
from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.keys.keys import make as make_key
from api.keys.scopes import Scope
from api.store.cases import NewCase, Origin, keep_case
from api.store.database import Database
from api.store.documents import DocumentKind, NewRevision, add_document
from api.store.migrate import migrate

TINY_CASE = Path(__file__).with_name("tiny_case.yaml")
LONGEST_WAIT_S = 120.0
"""Far beyond what anything here takes, so that a slow machine does not fail a test."""

HAS_SERVER = "TAPCALL_TEST_DATABASE_URL" in os.environ
STORES = ("sqlite", "postgresql") if HAS_SERVER else ("sqlite",)
collect_ignore = [] if HAS_SERVER else ["test_postgresql.py"]

T = TypeVar("T")
_COMMAND = [sys.executable, "-m", "api.cli.main"]


def _environment(**more: str) -> dict[str, str]:
    root = str(Path(api.__file__).parents[1])
    path = os.pathsep.join(filter(None, [os.environ.get("PYTHONPATH"), root]))
    return {**os.environ, "PYTHONPATH": path, "COLUMNS": "200", **more}


def _wait_for(look: Callable[[], T | None], what: str) -> T:
    """The first thing that `look` finds."""
    ends_s = time.monotonic() + LONGEST_WAIT_S
    while time.monotonic() < ends_s:
        if (found := look()) is not None:
            return found
        time.sleep(0.02)
    raise AssertionError(f"waited {LONGEST_WAIT_S:g} s for {what}")


@pytest.fixture(scope="session")
def wait_for() -> Callable[..., Any]:
    return _wait_for


@pytest.fixture(scope="session")
def tiny_path() -> Path:
    """A case that is planned in a moment."""
    return TINY_CASE


@pytest.fixture(scope="session")
def tiny_source() -> bytes:
    return TINY_CASE.read_bytes()


@pytest.fixture
def tiny_case() -> dict[str, Any]:
    """The tiny case as plain data, to be changed."""
    return dict(yaml.safe_load(TINY_CASE.read_text()))


@dataclass(frozen=True, kw_only=True)
class Service:
    """A running `tapcall serve`."""

    process: subprocess.Popen[str]
    client: httpx.Client
    data: Path
    log: Path

    def keep(self, source: bytes) -> dict[str, Any]:
        """The layout with this source."""
        answer = self.client.post("/v1/layouts", content=source, headers={"Content-Type": "application/yaml"})
        assert answer.status_code in (200, 201), answer.text
        return dict(answer.json())

    def submit(self, source: bytes) -> dict[str, Any]:
        """The job that plans this layout."""
        answer = self.client.post("/v1/plans", json={"layout_id": self.keep(source)["id"]})
        assert answer.status_code == 202, answer.text
        return dict(answer.json())

    def job(self, job_id: str) -> dict[str, Any]:
        return dict(self.client.get(f"/v1/jobs/{job_id}").json())

    def finished(self, job_id: str) -> dict[str, Any]:
        return _wait_for(lambda: job if (job := self.job(job_id))["done"] else None, "the job to be done")

    def attempt_process(self, job_id: str, number: int) -> int:
        """Process id of this attempt of the job, once it has started."""

        def look() -> int | None:
            lines = [json.loads(line) for line in self.log.read_text().splitlines() if line.startswith("{")]
            wanted = (line for line in lines if (line.get("job"), line.get("attempt")) == (job_id, number))
            return next((line["pid"] for line in wanted if "pid" in line), None)

        return int(_wait_for(look, f"attempt {number} of {job_id}"))

    def end(self, number: signal.Signals = signal.SIGKILL) -> None:
        self.client.close()
        self.process.send_signal(number)
        self.process.wait(LONGEST_WAIT_S)
        if self.process.stdout is not None:
            self.process.stdout.close()


@pytest.fixture
def start_service(tmp_path: Path) -> Iterator[Callable[[], Service]]:
    """Starts services on one data folder, one after the other; a running one is killed at the end."""
    started: list[Service] = []

    def start() -> Service:
        service = run_service(tmp_path / "data", tmp_path / f"log-{len(started)}")
        started.append(service)
        return service

    yield start
    for service in started:
        if service.process.poll() is None:
            service.end()


_QUICK_AND_SMALL = {
    "TAPCALL_POLL_S": "0.2",
    "TAPCALL_LEASE_S": "1",
    "TAPCALL_HEARTBEAT_S": "0.3",
    "TAPCALL_READER_PROCESSES": "1",
}
"""What is left by a killed service is taken up soon; one that waits costs the tests beside it little."""


def run_service(data: Path, log: Path) -> Service:
    with log.open("w") as stderr:
        process = subprocess.Popen(
            [*_COMMAND, "serve", "--port", "0", "--data", str(data)],
            stdout=subprocess.PIPE,
            stderr=stderr,
            text=True,
            env=_environment(**_QUICK_AND_SMALL),
        )
    assert process.stdout is not None
    first = process.stdout.readline()
    assert first.startswith("Serving http://127.0.0.1:"), log.read_text()
    client = httpx.Client(
        base_url=first.split()[1],
        timeout=LONGEST_WAIT_S,
        headers=_with_key(data),
        limits=httpx.Limits(keepalive_expiry=1.0),  # well before the service lets an idle connection go
    )
    _wait_for(lambda: _is_ready(client) or None, "the service to be ready")
    return Service(process=process, client=client, data=data, log=log)


@pytest.fixture(scope="session")
def service_in() -> Callable[[Path], Service]:
    """Starts a service with all that is its own in this folder; who starts it ends it."""
    return lambda folder: run_service(folder / "data", folder / "log")


def _with_key(data: Path) -> dict[str, str]:
    """A key that may do everything, put into the store of a running service."""
    store = Database(f"sqlite:///{data / 'tapcall.sqlite3'}", busy_timeout_s=10.0)
    with store.write() as connection:
        key = make_key(connection, name="tests", scopes=[Scope.OPERATE]).text
    store.close()
    return {"Authorization": f"Bearer {key}"}


def _is_ready(client: httpx.Client) -> bool:
    return client.get("/readyz").status_code == 200


@dataclass(frozen=True, kw_only=True)
class Ended:
    """What a call of the command left."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def tapcall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ended]:
    """Calls the command within this process, in an empty folder; neither stream is a terminal."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str | Path, **environment: str) -> Ended:
        ended = CliRunner().invoke(app, [*map(str, arguments)], env={"COLUMNS": "200", **environment})
        return Ended(returncode=ended.exit_code, stdout=ended.stdout, stderr=ended.stderr)

    return call


@pytest.fixture
def tapcall_process(start_tapcall: Callable[..., subprocess.Popen[str]]) -> Callable[..., Ended]:
    """Calls the command as a shell does, in a process of its own."""

    def call(*arguments: str | Path) -> Ended:
        running = start_tapcall(*arguments)
        stdout, stderr = running.communicate(timeout=LONGEST_WAIT_S)
        return Ended(returncode=running.returncode, stdout=stdout, stderr=stderr)

    return call


def _hear_control_c() -> None:
    """A shell lets what it starts in the background ignore Ctrl-C, and its children with it."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def start_tapcall(tmp_path: Path) -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Starts the command in an empty folder and leaves it running."""
    started: list[subprocess.Popen[str]] = []

    def start(*arguments: str | Path) -> subprocess.Popen[str]:
        running = subprocess.Popen(
            [*_COMMAND, *map(str, arguments)],
            cwd=tmp_path,
            env=_environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=_hear_control_c,
        )
        started.append(running)
        return running

    yield start
    for running in started:
        running.kill()
        running.communicate()


@dataclass(frozen=True, kw_only=True)
class Server:
    """A PostgreSQL server that is there for the tests."""

    url: URL

    def run(self, statement: str) -> None:
        engine = create_engine(self.url, isolation_level="AUTOCOMMIT", poolclass=NullPool)
        with engine.connect() as connection:
            connection.exec_driver_sql(statement)

    @contextmanager
    def database(self, like: str = "template0") -> Iterator[str]:
        """The URL of a database like the one named, until the block ends."""
        name = f"tapcall_{uuid4().hex}"
        self.run(f"CREATE DATABASE {name} TEMPLATE {like} STRATEGY file_copy")
        try:
            yield self.url.set(database=name).render_as_string(hide_password=False)
        finally:
            self.run(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def server() -> Server:
    return Server(url=make_url(os.environ["TAPCALL_TEST_DATABASE_URL"]))


def _migrated(url: str) -> str:
    database = Database(url, busy_timeout_s=10.0)
    migrate(database)
    database.close()
    return url


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "store.sqlite3"
    _migrated(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def migrated_database(server: Server) -> Iterator[str]:
    with server.database() as url:
        yield str(make_url(_migrated(url)).database)


@pytest.fixture(params=STORES)
def engine(request: pytest.FixtureRequest) -> str:
    """Each engine there is: PostgreSQL where the tests are given a server."""
    return str(request.param)


@pytest.fixture
def new_url(request: pytest.FixtureRequest, engine: str, tmp_path: Path) -> Iterator[Callable[[], str]]:
    """Gives places where a store may be made; nothing is there yet."""
    with ExitStack() as until_the_end:

        def new() -> str:
            if engine == "sqlite":
                return f"sqlite:///{tmp_path / uuid4().hex}.sqlite3"
            return str(until_the_end.enter_context(request.getfixturevalue("server").database()))

        yield new


@pytest.fixture
def sqlite_url(migrated_file: Path, tmp_path: Path) -> str:
    """A migrated store without rows, in a file."""
    return f"sqlite:///{shutil.copy(migrated_file, tmp_path / 'store.sqlite3')}"


@pytest.fixture
def store_url(request: pytest.FixtureRequest, engine: str) -> Iterator[str]:
    """A migrated store without rows."""
    if engine == "sqlite":
        yield request.getfixturevalue("sqlite_url")
    else:
        with request.getfixturevalue("server").database(request.getfixturevalue("migrated_database")) as url:
            yield url


@pytest.fixture
def open_store() -> Iterator[Callable[..., Database]]:
    """Opens stores, each as another process would, and closes them after the test."""
    opened: list[Database] = []

    def open_one(url: str, *, busy_timeout_s: float = 10.0) -> Database:
        opened.append(Database(url, busy_timeout_s=busy_timeout_s))
        return opened[-1]

    yield open_one
    for database in opened:
        database.close()


@pytest.fixture
def store(store_url: str, open_store: Callable[..., Database]) -> Database:
    """An empty store, migrated."""
    return open_store(store_url)


def _ask(store: Database, digit: int = 1, *, version: str = "1", source: bytes = b"name: panel") -> str:
    """A job that plans layout number `digit`: layout, case and job in one transaction, as a request makes them."""
    digest = f"{digit:064x}"
    with store.write() as connection:
        layout = add_document(
            connection,
            NewRevision(kind=DocumentKind.LAYOUT, name=f"panel {digit}", digest=digest, source=source),
            by=None,
        )
        case = NewCase(
            digest=digest,
            name=f"panel {digit}",
            source=source,
            part_digest=digest,
            resin_digest=digest,
            settings_digest=digest,
        )
        keep_case(connection, case, Origin(layout_id=layout.id, layout_revision=1))
        question = Question(kind=JobKind.PLAN, software_version=version, case_digest=digest)
        return submit(connection, question, by=None)


@pytest.fixture(scope="session")
def ask() -> Callable[..., str]:
    return _ask
