"""An integrator's client, generated from the service's own OpenAPI page, in which every operation is called.

The generator is openapi-python-client, a general-purpose library; nothing of this project is in what it writes.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

PACKAGE = "generated_from_the_page"
CONFIG = {
    "post_hooks": [],
    "content_type_overrides": {
        "application/pdf": "application/octet-stream",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": "application/octet-stream",
        "image/svg+xml": "text/plain",
    },
}
"""How the generator is told that such answers are bytes or text."""
METHODS = {"get", "put", "post", "delete", "patch", "head", "options", "trace"}
SEQUENCE = {"steps": [{"action": "open", "label": label, "when": {"start": True}} for label in ("1", "2")]}
GEL_TEST = {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 110}
RESIN = {
    "schema_version": 1,
    "name": "Generated resin",
    "density_kg_m3": 1080,
    "viscosity_points": [{"temperature_c": 15, "viscosity_mpa_s": 320}, {"temperature_c": 25, "viscosity_mpa_s": 190}],
    "gel_time_points": [
        {"temperature_c": 15, "initiator_percent": 1.5, "gel_time_min": 120},
        {"temperature_c": 25, "initiator_percent": 1.5, "gel_time_min": 60},
    ],
    "initiator": {"least_percent": 1.2, "most_percent": 2.0},
}
"""Invented."""


@dataclass(frozen=True, kw_only=True)
class Integrator:
    """Calls operations through the generated client, and remembers which."""

    client: Any
    modules: dict[str, str]
    """Operation id to module of the generated package."""
    called: set[str] = field(default_factory=set)

    def call(self, operation: str, *path: Any, status: int = 200, **more: Any) -> Any:
        """The detailed answer, which must have this status and be typed as the page says."""
        answer = import_module(self.modules[operation]).sync_detailed(*path, client=self.client, **more)
        assert answer.status_code == status, answer.content
        assert (type(answer.parsed).__name__ == "ProblemDocument") == (status >= 400)
        assert answer.headers["X-Request-Id"]
        self.called.add(operation)
        return answer

    def body(self, name: str, content: dict[str, Any]) -> Any:
        """A request document of the generated package."""
        return getattr(import_module(f"{PACKAGE}.models"), name).from_dict(content)


@pytest.fixture(scope="module")
def page(service: Any) -> dict[str, Any]:
    return dict(service.client.get("/openapi.json").json())


@pytest.fixture(scope="module")
def generated(page: dict[str, Any], tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """What the generator said; the package it wrote can be imported. Its source is a file: no network is needed."""
    folder = tmp_path_factory.mktemp("generated")
    (folder / "openapi.json").write_text(json.dumps(page))
    (folder / "config.json").write_text(json.dumps(CONFIG))
    options = ["--path", "openapi.json", "--config", "config.json", "--meta", "none", "--output-path", PACKAGE]
    done = subprocess.run(
        [sys.executable, "-m", "openapi_python_client", "generate", *options],
        cwd=folder, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    sys.path.insert(0, str(folder))
    yield done.stdout + done.stderr
    sys.path.remove(str(folder))


@pytest.fixture(scope="module")
def integrator(service: Any, generated: str) -> Iterator[Integrator]:
    del generated
    key = service.client.headers["authorization"].removeprefix("Bearer ")
    made = import_module(f"{PACKAGE}.client").AuthenticatedClient(
        base_url=str(service.client.base_url), token=key, raise_on_unexpected_status=True, timeout=40.0
    )
    folder = Path(str(import_module(PACKAGE).__file__)).parent / "api"
    modules = {path.stem: f"{PACKAGE}.api.{path.parent.name}.{path.stem}" for path in folder.glob("*/*.py")}
    yield Integrator(client=made, modules=modules)
    made.get_httpx_client().close()


def test_the_generator_understands_all_but_yaml(generated: str) -> None:
    """It warns only that it cannot write YAML bodies; layouts and resins go as JSON."""
    said = ("Unsupported", "Cannot", "Could not", "ERROR", "invalid")
    warnings = [line for line in generated.splitlines() if line.startswith(said)]
    assert warnings == ["Unsupported content type application/yaml"] * 4


def test_every_operation_of_the_page_is_called_through_the_generated_client(
    integrator: Integrator, page: dict[str, Any], tiny_case: dict[str, Any], tiny_job: dict[str, Any],
    wait_for: Callable[..., Any],
) -> None:  # fmt: skip
    """As an integrator goes: keep, ask, follow, read, be told, clean up. Every answer is typed as the page says."""
    assert tiny_job["done"]
    layout_id = drive_layouts(integrator, tiny_case)
    drive_resins(integrator)
    plan_id = drive_plans(integrator, layout_id, wait_for)
    drive_jobs(integrator, layout_id)
    drive_revalidations(integrator, layout_id, plan_id, wait_for)
    drive_withdrawal(integrator, plan_id)
    drive_webhooks(integrator)
    drive_keys(integrator)
    drive_service(integrator)
    operations = {
        operation["operationId"]
        for item in page["paths"].values()
        for method, operation in item.items()
        if method in METHODS
    }
    assert operations - integrator.called == set()
    assert len(operations) > 45


def drive_layouts(integrator: Integrator, tiny_case: dict[str, Any]) -> str:
    """Kept once, read by its ETag, changed by If-Match; returns the id of the layout that is planned already."""
    case = tiny_case | {"name": "generated panel"}
    kept = integrator.call("post_layout", body=integrator.body("WrittenCase", case), status=201)
    again = integrator.call("post_layout", body=integrator.body("WrittenCase", case))
    assert again.parsed.id == kept.parsed.id
    assert kept.headers["Location"] == kept.parsed.links["self"]
    layout_id, etag = kept.parsed.id, kept.headers["ETag"]
    assert integrator.call("get_layout", layout_id).headers["ETag"] == etag
    integrator.call("get_layout", layout_id, if_none_match=etag, status=304)
    changed = integrator.body("WrittenCase", case | {"note": "changed"})
    integrator.call("put_layout", layout_id, body=changed, status=428)
    integrator.call("put_layout", layout_id, body=changed, if_match='"1-0123456789abcdef"', status=412)
    assert integrator.call("put_layout", layout_id, body=changed, if_match=etag).parsed.revision == 2
    revisions = integrator.call("get_layout_revisions", layout_id).parsed.items
    assert [each.revision for each in revisions] == [2, 1]
    assert integrator.call("get_layout_revision", layout_id, 1).parsed.case.to_dict() == case
    tiny = integrator.call("get_layouts", name="tiny panel").parsed.items
    return str(tiny[-1].id)


def drive_resins(integrator: Integrator) -> None:
    """As layouts."""
    kept = integrator.call("post_resin", body=integrator.body("WrittenResin", RESIN), status=201)
    resin_id = kept.parsed.id
    changed = integrator.body("WrittenResin", RESIN | {"density_kg_m3": 1090})
    assert integrator.call("put_resin", resin_id, body=changed, if_match=kept.headers["ETag"]).parsed.revision == 2
    assert integrator.call("get_resin", resin_id).parsed.sheet["density_kg_m3"] == 1090
    assert len(integrator.call("get_resin_revisions", resin_id).parsed.items) == 2
    assert integrator.call("get_resin_revision", resin_id, 1).parsed.sheet["density_kg_m3"] == 1080
    assert resin_id in {each.id for each in integrator.call("get_resins", limit=200).parsed.items}


def drive_plans(integrator: Integrator, layout_id: str, wait_for: Callable[..., Any]) -> str:
    """A plan and a check asked for, followed, and read in every form; returns the id of the plan."""
    asked = integrator.body("PlanRequest", {"layout_id": layout_id})
    job = integrator.call("post_plan", body=asked, idempotency_key="generated-1", status=202)
    replayed = integrator.call("post_plan", body=asked, idempotency_key="generated-1", status=202)
    assert (replayed.parsed.id, replayed.headers["Idempotent-Replayed"]) == (job.parsed.id, "true")
    assert (job.headers["Location"], job.headers["Retry-After"]) == (job.parsed.links["self"], "2")
    sequence = integrator.body("CheckRequest", {"layout_id": layout_id, "sequence": SEQUENCE})
    checked = finished(integrator, integrator.call("post_check", body=sequence, status=202).parsed.id, wait_for)
    plan_id = str(finished(integrator, job.parsed.id, wait_for).result.plan_id)
    assert checked.result.plan_id != plan_id
    plan = integrator.call("get_plan", plan_id)
    assert plan.parsed.case_name == "tiny panel"
    integrator.call("get_plan", plan_id, if_none_match=plan.headers["ETag"], status=304)
    assert integrator.call("get_plan_listing", plan_id).parsed.layout_id == layout_id
    assert plan_id in {each.id for each in integrator.call("get_plans", verdict=plan.parsed.verdict).parsed.items}
    assert integrator.call("get_run_sheet", plan_id).parsed.startswith("<!DOCTYPE html")
    assert integrator.call("get_run_sheet_pdf", plan_id).parsed.payload.read().startswith(b"%PDF-")
    assert integrator.call("get_map", plan_id).parsed.startswith("<?xml")
    assert integrator.call("get_tap_labels", plan_id).parsed.payload.read().startswith(b"%PDF-")
    return plan_id


def drive_jobs(integrator: Integrator, layout_id: str) -> None:
    """Listed, followed to the end, given up; one that is not there is a problem."""
    jobs = integrator.call("get_jobs", layout_id=layout_id).parsed.items
    events = integrator.call("get_job_events", jobs[-1].id).parsed
    assert "event: state" in events
    last = max(int(line.partition(":")[2]) for line in events.splitlines() if line.startswith("id:"))
    integrator.call("get_job_events", jobs[-1].id, last_event_id=last, status=204)
    assert integrator.call("cancel_job", jobs[-1].id, status=202).parsed.done
    problem = integrator.call("get_job", f"job_{0:032}", status=404).parsed
    assert (problem.type_, problem.status, problem.errors) == ("/v1/problems/not-found", 404, [])


def drive_revalidations(integrator: Integrator, layout_id: str, plan_id: str, wait_for: Callable[..., Any]) -> None:
    """Asked for and read in every form; a change that says nothing is a problem with a pointer."""
    asked = {"change": {"gel_test": GEL_TEST}, "plans": {"layout_id": layout_id}}
    run = integrator.call("post_revalidation", body=integrator.body("RevalidationRequest", asked), status=202)
    run_id = run.parsed.id

    def look() -> Any:
        now = integrator.call("get_revalidation", run_id).parsed
        return now if now.state != "running" else None

    assert wait_for(look, "the run to be done").state == "done"
    report = integrator.call("get_revalidation_report", run_id).parsed
    assert plan_id in {each.plan_id for each in report.items}
    assert plan_id in integrator.call("get_revalidation_report_csv", run_id).parsed
    workbook = integrator.call("get_revalidation_report_xlsx", run_id)
    assert workbook.parsed.payload.read().startswith(b"PK")
    assert run_id in workbook.headers["Content-Disposition"]
    assert plan_id in integrator.call("get_revalidation_report_html", run_id).parsed
    assert run_id in {each.id for each in integrator.call("get_revalidations").parsed.items}
    nothing = integrator.body("RevalidationRequest", {"change": {}})
    problem = integrator.call("post_revalidation", body=nothing, status=422).parsed
    assert [each.pointer for each in problem.errors] == ["/change"]


def drive_withdrawal(integrator: Integrator, plan_id: str) -> None:
    """Withdrawn with a reason, then taken back: the store is as it was."""
    reason = integrator.body("WithdrawRequest", {"reason": "Replaced."})
    withdrawn = integrator.call("withdraw_plan", plan_id, body=reason).parsed
    assert (withdrawn.id, withdrawn.withdrawn_because) == (plan_id, "Replaced.")
    assert not integrator.call("reinstate_plan", plan_id).parsed.withdrawn_because


def drive_webhooks(integrator: Integrator) -> None:
    """Made, its secret shown once, told of a test, given a new secret, ended. The name leads nowhere (RFC 6761)."""
    asked = integrator.body("WebhookRequest", {"url": "https://planning.invalid/told", "events": ["job.failed"]})
    made = integrator.call("post_webhook", body=asked, idempotency_key="generated-2", status=201)
    integrator.call("post_webhook", body=asked, idempotency_key="generated-2", status=409)
    webhook_id = made.parsed.id
    assert integrator.call("rotate_webhook", webhook_id).parsed.secret != made.parsed.secret
    overlap = integrator.body("RotateRequest", {"overlap_s": 0})
    assert integrator.call("rotate_webhook", webhook_id, body=overlap).parsed.secret != made.parsed.secret
    delivery = integrator.call("send_test_delivery", webhook_id, status=202).parsed
    assert integrator.call("get_webhook_deliveries", webhook_id).parsed.items[0].id == delivery.id
    integrator.call("delete_webhook", webhook_id, status=204)
    assert integrator.call("get_webhook", webhook_id).parsed.ended_because == "it was deleted"
    assert webhook_id in {each.id for each in integrator.call("get_webhooks", limit=200).parsed.items}


def drive_keys(integrator: Integrator) -> None:
    """Made, rotated, revoked; all of it stands in the audit."""
    asked = integrator.body("KeyRequest", {"name": "generated", "scopes": ["read"], "days": 1})
    made = integrator.call("post_key", body=asked, status=201)
    assert made.headers["Cache-Control"] == "no-store"
    rotated = integrator.call("rotate_key", made.parsed.id, overlap_s=0, status=201).parsed
    assert rotated.key != made.parsed.key
    integrator.call("delete_key", rotated.id, status=204)
    assert integrator.call("get_key", rotated.id).parsed.revoked_at
    assert rotated.id in {each.id for each in integrator.call("get_keys", limit=200).parsed.items}
    audit = integrator.call("get_audit").parsed.items
    assert ("key.revoke", rotated.id) in {(each.action, each.subject) for each in audit}


def drive_service(integrator: Integrator) -> None:
    """What it says about itself."""
    assert integrator.call("get_livez").parsed.status == "alive"
    assert integrator.call("get_readyz").parsed.status == "ready"
    assert "tapcall_request_duration_seconds" in integrator.call("get_metrics").parsed
    assert integrator.call("get_limits").parsed.largest_body_bytes == 10_000_000
    names = import_module(f"{PACKAGE}.models").GetSchemaName
    for name in names:
        assert integrator.call("get_schema", name).parsed["properties"]
    assert integrator.call("get_problem_kind", "not-found").parsed.status == 404


def finished(integrator: Integrator, job_id: str, wait_for: Callable[..., Any]) -> Any:
    """The job, once it has succeeded."""

    def look() -> Any:
        answer = integrator.call("get_job", job_id)
        assert answer.parsed.done or answer.headers["Retry-After"]
        return answer.parsed if answer.parsed.done else None

    job = wait_for(look, "the job to be done")
    assert job.state == "succeeded"
    return job
