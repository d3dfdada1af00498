"""A case that was asked from several layouts is found by each of them, though one job answers it once."""

from __future__ import annotations

import json
from typing import Any

import pytest
from sqlalchemy import Connection, func, select

from api.jobs.read_jobs import JobFilter, list_jobs
from api.jobs.states import JobKind
from api.jobs.submit import Question, submit
from api.revalidation.report import report_of
from api.revalidation.runs import NewRun, PlanAgain, begin_run, find_run
from api.store.cases import NewCase, Origin, keep_case, origins_of
from api.store.database import Database
from api.store.documents import DocumentKind, NewRevision, add_document
from api.store.plans import NewPlan, PlanFilter, insert_plan, list_plans
from api.store.tables import case_origins

DIGEST = "c" * 64
CASE = NewCase(
    digest=DIGEST,
    name="panel",
    source=b"name: panel",
    part_digest="a" * 64,
    resin_digest="b" * 64,
    settings_digest="d" * 64,
)


@pytest.fixture
def layouts(store: Database) -> list[str]:
    """Three layouts; the first two have led to one case, which is planned."""
    with store.write() as connection:
        ids = [_layout(connection, digit) for digit in range(3)]
        for layout_id in ids[:2]:
            keep_case(connection, CASE, Origin(layout_id=layout_id, layout_revision=1))
        job_id = submit(connection, Question(kind=JobKind.PLAN, software_version="1", case_digest=DIGEST), by=None)
        insert_plan(connection, _plan(), job_id=job_id, case_digest=DIGEST)
    return ids


def _layout(connection: Connection, digit: int) -> str:
    new = NewRevision(kind=DocumentKind.LAYOUT, name=f"panel {digit}", digest=f"{digit:064}", source=b"name: panel")
    return str(add_document(connection, new, by=None).id)


def _plan() -> NewPlan:
    return NewPlan(
        document="{}",
        verdict="verified",
        wet_out_s=60.0,
        gel_margin_s=60.0,
        name="panel",
        resin="demo resin",
        batch="B-9",
        software_version="1",
        facts="{}",
    )


def test_plans_and_jobs_are_listed_under_every_layout_they_were_asked_from(store: Database, layouts: list[str]) -> None:
    """Each list names its own layout; the list of all names the first; a layout never asked for has none."""
    with store.read() as connection:
        for layout_id in layouts[:2]:
            plans = list_plans(connection, PlanFilter(layout_id=layout_id, batch="B-9"), limit=5, cursor=None).rows
            jobs = list_jobs(connection, JobFilter(layout_id=layout_id), limit=5, cursor=None).rows
            assert [row.layout_id for row in (*plans, *jobs)] == [layout_id, layout_id]
        whole = list_plans(connection, PlanFilter(), limit=5, cursor=None).rows
        assert [row.layout_id for row in whole] == layouts[:1]
        assert not list_plans(connection, PlanFilter(layout_id=layouts[2]), limit=5, cursor=None).rows
        assert not list_jobs(connection, JobFilter(layout_id=layouts[2]), limit=5, cursor=None).rows


@pytest.mark.parametrize("which", [0, 1, None])
def test_a_run_over_a_layout_judges_what_another_was_the_first_to_ask(
    store: Database, layouts: list[str], which: int | None
) -> None:
    """One item, whichever of the layouts is chosen or none; the report names that layout, or else the first."""
    layout_id = None if which is None else layouts[which]
    new = NewRun(
        change=json.dumps({"mould_temperature_c": 21}),
        said=(),
        chosen=PlanFilter(layout_id=layout_id),
        plan_again=PlanAgain.NEVER,
    )
    with store.write() as connection:
        run = find_run(connection, begin_run(connection, new, by=None))
        assert run is not None
        assert [item.layout_id for item in report_of(connection, run).items] == [layouts[which or 0]]


def test_an_origin_stands_once_and_another_revision_or_batch_is_another(store: Database, layouts: list[str]) -> None:
    """Asked again, nothing is added; a list shows the newest origin of its layout."""
    with store.write() as connection:
        add = NewRevision(kind=DocumentKind.RESIN, name="demo resin", digest="e" * 64, source=b"name: demo resin")
        resin_id = add_document(connection, add, by=None).id
        again = Origin(layout_id=layouts[0], layout_revision=1)
        of_resin = Origin(layout_id=layouts[0], layout_revision=1, resin_id=resin_id, resin_revision=1)
        of_batch = Origin(layout_id=layouts[0], layout_revision=1, resin_id=resin_id, resin_revision=1, batch="B-9")
        for _ in range(2):
            keep_case(connection, CASE, again, of_resin, of_batch)
        other = Origin(layout_id=layouts[1], layout_revision=1)
        assert origins_of(connection, DIGEST) == [again, other, of_resin, of_batch]
        assert connection.execute(select(func.count()).select_from(case_origins)).scalar_one() == 4
        (row,) = list_plans(connection, PlanFilter(layout_id=layouts[0]), limit=5, cursor=None).rows
        assert row.resin_id == resin_id


def test_the_answer_to_a_request_names_the_layout_that_was_asked_for(service: Any, tiny_job: dict[str, Any]) -> None:
    """A layout whose content becomes what another one is: the job and the plan are there, under either layout."""
    first = tiny_job["layout_id"]
    source = service.client.get(f"/v1/layouts/{first}").json()["case"]
    address = service.keep(json.dumps({**source, "name": "to be another"}).encode())["links"]["self"]
    tag = service.client.get(address).headers["etag"]
    changed = service.client.put(address, json=source, headers={"If-Match": tag})
    assert changed.status_code == 200, changed.text
    second = changed.json()["id"]
    job = service.client.post("/v1/plans", json={"layout_id": second}).json()
    assert (job["id"], job["layout_id"], job["layout_revision"]) == (tiny_job["id"], second, 2)
    assert job["links"]["layout"] == f"/v1/layouts/{second}/revisions/2"
    for layout_id in (first, second):
        for listing, wanted in (("plans", job["result"]["plan_id"]), ("jobs", job["id"])):
            items = service.client.get(f"/v1/{listing}", params={"layout_id": layout_id}).json()["items"]
            assert wanted in {item["id"] for item in items}
            assert {item["layout_id"] for item in items} == {layout_id}
