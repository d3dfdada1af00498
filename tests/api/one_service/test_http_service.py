"""The service as an integrator meets it: submit, follow, read."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument

YAML = {"Content-Type": "application/yaml"}
FORMS = {
    "run_sheet": ("text/html; charset=utf-8", b"<!DOCTYPE html"),
    "run_sheet_pdf": ("application/pdf", b"%PDF-"),
    "map": ("image/svg+xml", b"<?xml"),
    "tap_labels": ("application/pdf", b"%PDF-"),
}


def test_a_submission_is_accepted_with_the_address_of_its_job(service: Any, tiny_source: bytes) -> None:
    """202, Location and Retry-After (RFC 9110, 15.3.3 and 10.2.2-3); the job is in the shape of AIP-151."""
    layout = service.keep(tiny_source)
    answer = service.client.post("/v1/plans", json={"layout_id": layout["id"]})
    job = answer.json()
    assert answer.status_code == 202
    assert answer.headers["location"] == f"/v1/jobs/{job['id']}" == job["links"]["self"]
    assert int(answer.headers["retry-after"]) >= 1
    assert not ("result" in job and "error" in job)


def test_a_planned_case_leads_to_its_plan(service: Any, tiny_job: dict[str, Any]) -> None:
    """The job has succeeded; the plan is a plan document of this very layout."""
    assert (tiny_job["state"], tiny_job["done"]) == ("succeeded", True)
    assert "error" not in tiny_job
    plan = PlanDocument.model_validate_json(service.client.get(tiny_job["links"]["plan"]).content)
    assert plan.case_digest == tiny_job["case_digest"]
    assert plan.verdict == tiny_job["result"]["verdict"] == "verified"
    assert plan.wet_out_s == tiny_job["result"]["wet_out_s"]


def test_the_same_content_meets_the_same_job(service: Any, tiny_job: dict[str, Any], tiny_case: Any) -> None:
    """As JSON instead of YAML, with the keys in another order: the layout of before, and the job of before."""
    turned = dict(reversed(tiny_case.items()))
    answer = service.client.post("/v1/layouts", json=turned)
    assert answer.status_code == 200
    assert answer.json()["id"] == tiny_job["layout_id"]
    asked = service.client.post("/v1/plans", json={"layout_id": tiny_job["layout_id"]})
    assert (asked.status_code, asked.json()["id"]) == (202, tiny_job["id"])


@pytest.fixture(scope="module")
def raced_ids(service: Any, tiny_source: bytes) -> set[str]:
    """Job ids of twenty submissions of one layout at once."""
    source = tiny_source.replace(b"name: tiny panel", b"name: raced panel")
    with ThreadPoolExecutor(20) as pool:
        return set(pool.map(lambda _: service.submit(source)["id"], range(20)))


def test_twenty_submissions_at_once_make_one_job(raced_ids: set[str]) -> None:
    """Natural dedupe holds under a race."""
    assert len(raced_ids) == 1


def test_a_lease_is_renewed_as_long_as_the_work_takes(tiny_job: dict[str, Any]) -> None:
    """The service of these tests leases for a second, planning takes longer: still a single attempt."""
    assert tiny_job["attempts"] == 1


def test_a_layout_is_given_back_so_that_it_can_be_sent_again(service: Any, tiny_job: dict[str, Any]) -> None:
    """The case as written has the same digest, so it meets the same layout; what was assumed is listed."""
    layout = service.client.get(tiny_job["links"]["layout"]).json()
    assert layout["name"] == "tiny panel"
    assert "/process/gel_fraction_percent" in {each["path"] for each in layout["assumptions"]}
    assert service.client.post("/v1/layouts", json=layout["case"]).json()["id"] == tiny_job["layout_id"]


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_a_plan_is_served_as_what_it_is(
    service: Any, tiny_job: dict[str, Any], form: str
) -> None:
    """Media type, first bytes, no sniffing, and a policy under which a page can load and run nothing."""
    answer = service.client.get(tiny_job["links"][form])
    media_type, begins = FORMS[form]
    assert answer.status_code == 200
    assert answer.headers["content-type"].replace("UTF-8", "utf-8").startswith(media_type.partition(";")[0])
    assert answer.content.lstrip().lower().startswith(begins.lower())
    assert answer.headers["x-content-type-options"] == "nosniff"
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script" not in policy


@pytest.mark.parametrize("form", ["plan", *FORMS])
def test_a_plan_that_is_known_is_not_sent_again(service: Any, tiny_job: dict[str, Any], form: str) -> None:
    """If-None-Match (RFC 9110, 13.1.2): 304 without a body for the tag, in a list, weak, and for *."""
    address = tiny_job["links"][form]
    etag = service.client.get(address).headers["etag"]
    for known in (etag, f'"other", {etag}', f"W/{etag.removeprefix('W/')}", "*"):
        answer = service.client.get(address, headers={"If-None-Match": known})
        assert (answer.status_code, answer.content) == (304, b"")
        assert answer.headers["etag"] == etag
    assert service.client.get(address, headers={"If-None-Match": '"other"'}).status_code == 200


def test_head_is_answered_as_get_without_the_body(service: Any, tiny_job: dict[str, Any]) -> None:
    """RFC 9110, 9.3.2."""
    address = tiny_job["links"]["plan"]
    full, head = service.client.get(address), service.client.head(address)
    assert head.status_code == 200
    assert head.content == b""
    assert head.headers["etag"] == full.headers["etag"]
    assert head.headers["content-length"] == full.headers["content-length"]


@pytest.mark.parametrize("path", ["/v1/jobs", "/v1/plans"])
def test_a_list_is_walked_by_its_links(
    service: Any, tiny_job: dict[str, Any], raced_ids: set[str], path: str
) -> None:
    """Pages of one, followed to the end, give what one large page gives."""
    raced = service.finished(min(raced_ids))
    whole = [item["id"] for item in service.client.get(path, params={"limit": 200}).json()["items"]]
    walked, address = [], f"{path}?limit=1"
    while address is not None:
        page = service.client.get(address).json()
        walked += [item["id"] for item in page["items"]]
        address = page.get("next")
        assert ("next_cursor" in page) == (address is not None)
    assert walked == whole
    expected = (tiny_job, raced) if path == "/v1/jobs" else (tiny_job["result"], raced["result"])
    assert {each.get("id", each.get("plan_id")) for each in expected} <= set(whole)


def test_live_and_ready_are_two_questions(service: Any) -> None:
    """Both are answered while the service runs."""
    assert service.client.get("/livez").json()["status"] == "alive"
    assert service.client.get("/readyz").json()["status"] == "ready"


def test_the_case_schema_is_served(service: Any) -> None:
    """The JSON Schema names the fields of a case."""
    assert {"feed_lines", "vents", "resin"} <= set(service.client.get("/v1/schema/case").json()["properties"])
