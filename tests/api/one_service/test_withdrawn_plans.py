"""Plans that are used no more, and sheets of plans that were found not to hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from api.reports.report_document import sheet_of

PLANNED_GEL_MIN = 84.3
"""As the plan has it."""
REASON = "The laminate has another patch since."


@pytest.fixture(scope="module")
def job(service: Any, tiny_source: bytes) -> dict[str, Any]:
    """The tiny case under a name of its own, planned."""
    source = tiny_source.replace(b"name: tiny panel", b"name: put aside panel")
    return dict(service.finished(service.submit(source)["id"]))


@pytest.fixture(scope="module")
def plan(job: dict[str, Any]) -> str:
    """Its address."""
    return str(job["links"]["plan"])


@pytest.fixture
def withdrawn(service: Any, plan: str) -> Iterator[dict[str, Any]]:
    """The plan's listing, once it is withdrawn; it is reinstated at the end."""
    answer = service.client.post(f"{plan}/withdraw", json={"reason": REASON})
    assert answer.status_code == 200, answer.text
    yield answer.json()
    assert "withdrawn_at" not in service.client.post(f"{plan}/reinstate").json()


@pytest.fixture
def judged(service: Any, job: dict[str, Any], wait_for: Callable[..., Any]) -> Callable[..., dict[str, Any]]:
    """A run over plans of this layout with a gel test of so many minutes, or another change, at its end."""

    def ask(minutes: float | None = None, *, plan_again: str = "never", **change: Any) -> dict[str, Any]:
        if minutes is not None:
            change["gel_test"] = {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": minutes}
        body = {"change": change, "plans": {"layout_id": job["layout_id"]}, "plan_again": plan_again}
        address = service.client.post("/v1/revalidations", json=body).headers["location"]
        return dict(
            wait_for(lambda: run if (run := service.client.get(address).json())["state"] == "done" else None, "the run")
        )

    return ask


def test_a_withdrawn_plan_gives_no_orders(service: Any, plan: str, withdrawn: dict[str, Any]) -> None:
    """Sheet and map say so and why; the labels are not printed; the plan itself stays as it was computed."""
    assert withdrawn["withdrawn_because"] == REASON
    sheet = service.client.get(f"{plan}/run-sheet").text
    assert "DO NOT INFUSE FROM THIS SHEET" in sheet
    assert REASON in sheet
    assert "Taps and vents, in this order" not in sheet
    assert "NOT A PLAN TO WORK FROM" in service.client.get(f"{plan}/map.svg").text
    assert service.client.get(plan).json()["verdict"] == "verified"


def test_its_sheet_keeps_the_mark_that_hangs_on_the_wall(service: Any, plan: str, withdrawn: dict[str, Any]) -> None:
    """Or nobody would find the copies to take down."""
    mark = f"sheet {withdrawn['id'].removeprefix('plan_')[:8].upper()} at its foot"
    assert mark in service.client.get(f"{plan}/run-sheet").text


@pytest.mark.usefixtures("withdrawn")
def test_a_withdrawn_plan_is_not_judged_again(service: Any, job: dict[str, Any], tiny_source: bytes) -> None:
    """It is the only one of its layout: beside another plan a run over that is refused. It is listed as withdrawn."""
    service.finished(service.submit(tiny_source)["id"])
    body = {"change": {"mould_temperature_c": 21}, "plans": {"layout_id": job["layout_id"]}}
    refused = service.client.post("/v1/revalidations", json=body)
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (422, "/plans")
    of_layout = {"layout_id": job["layout_id"]}
    listed = service.client.get("/v1/plans", params={**of_layout, "withdrawn": True}).json()["items"]
    assert [item["id"] for item in listed] == [job["result"]["plan_id"]]
    assert service.client.get("/v1/plans", params={**of_layout, "withdrawn": False}).json()["items"] == []


def test_a_second_withdrawal_keeps_the_first_reason(service: Any, plan: str, withdrawn: dict[str, Any]) -> None:
    """What was printed on sheets stays true. Another reason is refused with the first, which may be given again."""
    other = service.client.post(f"{plan}/withdraw", json={"reason": "Another."})
    assert (other.status_code, other.json()["type"]) == (409, "/v1/problems/already-withdrawn")
    assert REASON in other.json()["detail"]
    again = service.client.post(f"{plan}/withdraw", json={"reason": REASON}).json()
    assert (again["withdrawn_because"], again["withdrawn_at"]) == (REASON, withdrawn["withdrawn_at"])


def test_who_withdrew_and_reinstated_is_in_the_audit(service: Any, plan: str, withdrawn: dict[str, Any]) -> None:
    """With the plan as its subject."""
    service.client.post(f"{plan}/reinstate")
    actions = [entry["action"] for entry in service.client.get("/v1/audit").json()["items"]]
    assert actions[:2] == ["plan.reinstate", "plan.withdraw"]
    assert withdrawn["id"] == service.client.get("/v1/audit").json()["items"][0]["subject"]


def test_asked_for_again_it_says_so(service: Any, job: dict[str, Any], plan: str, withdrawn: dict[str, Any]) -> None:
    """The same question meets the same answer, and with it why nobody may use that."""
    again = service.client.post("/v1/plans", json={"layout_id": job["layout_id"]}).json()
    assert again["result"] | {"withdrawn_because": REASON} == again["result"]
    assert again["result"]["plan_id"] == withdrawn["id"]
    service.client.post(f"{plan}/reinstate")
    assert "withdrawn_because" not in service.client.get(f"/v1/jobs/{job['id']}").json()["result"]


def test_a_report_knows_what_was_withdrawn_since(service: Any, plan: str, judged: Callable[..., Any]) -> None:
    """The stored plan is out of use whatever was found; a new one that was withdrawn is no plan to print."""
    run = judged(60.0, plan_again="invalid")
    (item,) = service.client.get(run["links"]["report"]).json()["items"]
    assert (item["answer"], item["replan_state"]) == ("new_clock", "verified")
    new = f"/v1/plans/{item['replan_plan_id']}"
    service.client.post(f"{new}/withdraw", json={"reason": REASON})
    (item,) = service.client.get(run["links"]["report"]).json()["items"]
    assert item["replan_state"] == "withdrawn"
    assert REASON in item["reason"]
    assert "nor the new one" in item["action"]
    assert "New sheet" not in service.client.get(run["links"]["report_html"]).text
    service.client.post(f"{plan}/withdraw", json={"reason": REASON})
    report = service.client.get(run["links"]["report"]).json()
    assert (report["items"][0]["answer"], report["counts"]["withdrawn"], report["answered"]) == ("withdrawn", 1, 0)
    for address in (new, plan):
        service.client.post(f"{address}/reinstate")
    judged(PLANNED_GEL_MIN)


def test_the_shell_withdraws_by_the_number_on_the_sheet(
    service: Any, job: dict[str, Any], plan: str, tapcall: Callable[..., Any]
) -> None:
    """As HTTP does; a number that no plan has is one clear line, and so is another reason."""
    sheet = sheet_of(job["result"]["plan_id"])
    ended = tapcall("withdraw", sheet, "--reason", REASON, "--data", service.data)
    assert (ended.returncode, job["result"]["plan_id"] in ended.stdout) == (0, True), ended.stderr
    assert service.client.get(f"{plan}/listing").json()["withdrawn_because"] == REASON
    other = tapcall("withdraw", sheet.lower(), "--reason", "Another.", "--data", service.data)
    assert (other.returncode, REASON in other.stderr) == (2, True)
    assert tapcall("reinstate", job["result"]["plan_id"], "--data", service.data).returncode == 0
    assert "withdrawn_because" not in service.client.get(f"{plan}/listing").json()
    for wrong in ("00000000", "plan_", "%", sheet[:5]):
        ended = tapcall("withdraw", wrong, "--reason", REASON, "--data", service.data)
        assert (ended.returncode, ended.stderr.startswith("PLAN: ")) == (2, True), ended.stderr
    assert tapcall("withdraw", sheet, "--reason", "two\nlines", "--data", service.data).returncode == 2


@pytest.mark.parametrize("reason", ["", "two\nlines", "x" * 201])
def test_a_reason_must_be_one_that_can_be_printed(service: Any, plan: str, reason: str) -> None:
    """One problem with a pointer to it, and the plan is in use still."""
    answer = service.client.post(f"{plan}/withdraw", json={"reason": reason})
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/reason"]
    assert "withdrawn_at" not in service.client.get(f"{plan}/listing").json()


def test_a_plan_that_is_not_there_cannot_be_withdrawn(service: Any) -> None:
    """404, as for reading it."""
    assert service.client.post(f"/v1/plans/plan_{'0' * 24}/withdraw", json={"reason": REASON}).status_code == 404


def test_a_sheet_says_what_a_revalidation_found(service: Any, plan: str, judged: Callable[..., Any]) -> None:
    """With what was changed in it. A run over something else takes nothing off, one over the same that finds it good
    does. The tag tells them apart."""
    before = service.client.get(f"{plan}/run-sheet")
    judged(6.0)
    condemned = service.client.get(f"{plan}/run-sheet", headers={"If-None-Match": before.headers["etag"]})
    assert condemned.status_code == 200
    assert "STOP AND ASK" in condemned.text
    assert "gel" in condemned.text.partition("was found NOT to hold where")[2][:200]
    judged(mould_temperature_c=20)
    assert "STOP AND ASK" in service.client.get(f"{plan}/run-sheet").text
    judged(PLANNED_GEL_MIN)
    assert service.client.get(f"{plan}/run-sheet").content == before.content


@pytest.mark.parametrize(
    ("minutes", "found"),
    [(60.0, "times on this sheet were found NOT to hold"), (6.0, "this order of taps was found NOT to hold")],
)
def test_whatever_bars_a_sheet_is_on_it(
    service: Any, plan: str, judged: Callable[..., Any], minutes: float, found: str
) -> None:
    """The worst of it, until the same is asked again and holds; and the map says that there is something."""
    judged(minutes)
    judged(mould_temperature_c=20)
    assert found in service.client.get(f"{plan}/run-sheet").text
    barred = service.client.get(f"{plan}/map.svg").content
    judged(PLANNED_GEL_MIN)
    assert "STOP AND ASK" not in service.client.get(f"{plan}/run-sheet").text
    assert service.client.get(f"{plan}/map.svg").content != barred
