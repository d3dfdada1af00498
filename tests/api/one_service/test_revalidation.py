"""Stored plans judged again after a change: over HTTP and from the shell, by look-up and by runs."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from api.reports.report_document import sheet_of
from api.revalidation.ask import refuse_to_judge_nothing
from api.store.database import Database
from api.store.plans import PlanFilter
from optimiser.case.plan_document import PlanDocument
from optimiser.errors import InputError
from optimiser.run_sheet.identity import sheet_mark

RESIN = {
    "schema_version": 1,
    "name": "demo resin",
    "density_kg_m3": 1100,
    "viscosity_points": [{"temperature_c": 15, "viscosity_mpa_s": 330}, {"temperature_c": 30, "viscosity_mpa_s": 160}],
    "gel_time_points": [
        {"temperature_c": 15, "initiator_percent": 1.5, "gel_time_min": 130},
        {"temperature_c": 30, "initiator_percent": 1.5, "gel_time_min": 46},
    ],
    "initiator": {"least_percent": 1.2, "most_percent": 2.0},
    "batches": [
        {
            "batch": "B-9",
            "gel_tests": [
                {
                    "tested_at": "2026-03-02T07:30:00Z",
                    "temperature_c": 20,
                    "initiator_percent": 1.5,
                    "gel_time_min": 70,
                }
            ],
            "viscosity_tests": [],
        }
    ],
}


@pytest.fixture(scope="module")
def judged_job(service: Any, tiny_source: bytes) -> dict[str, Any]:
    """The tiny case under a name of its own, planned: plans that other tests ask for are of other layouts."""
    source = tiny_source.replace(b"name: tiny panel", b"name: judged panel")
    return dict(service.finished(service.submit(source)["id"]))


@pytest.fixture(scope="module")
def judge(service: Any, judged_job: dict[str, Any], wait_for: Callable[..., Any]) -> Callable[..., dict[str, Any]]:
    """Asks for a run over that plan, waits for its end, and gives its report."""

    def ask(change: dict[str, Any], **more: Any) -> dict[str, Any]:
        body = {"change": change, "plans": {"layout_id": judged_job["layout_id"]}, **more}
        answer = service.client.post("/v1/revalidations", json=body)
        assert answer.status_code == 202, answer.text
        address = answer.headers["location"]

        def look() -> dict[str, Any] | None:
            run = service.client.get(address).json()
            return run if run["state"] != "running" else None

        run = wait_for(look, "the run to be done")
        assert run["state"] == "done"
        return dict(service.client.get(run["links"]["report"]).json()) | {"links": run["links"]}

    return ask


def _gel_test(minutes: float) -> dict[str, Any]:
    return {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": minutes}}


def test_a_longer_gel_time_is_looked_up_and_changes_nothing(judge: Callable[..., Any], judged_job: Any) -> None:
    """Fluidity is the same, so the stored run is the run: same wet-out, more margin, no network run."""
    report = judge(_gel_test(120.0))
    (item,) = report["items"]
    assert (item["plan_id"], item["decided_by"]) == (judged_job["result"]["plan_id"], "look_up")
    assert item["answer"] in ("still_valid", "new_clock")
    assert item["wet_out_after_s"] == pytest.approx(item["wet_out_before_s"], rel=1e-9)
    assert item["margin_after_s"] > item["margin_before_s"]
    assert report["counts"]["no_longer_valid"] == 0


def test_a_gel_time_too_short_says_which_requirement_fails(judge: Callable[..., Any]) -> None:
    """Wet-out stays, the limit comes before it, and the planner is told not to use the sheet."""
    (item,) = judge(_gel_test(6.0))["items"]
    assert (item["answer"], item["decided_by"]) == ("no_longer_valid", "look_up")
    assert item["margin_after_s"] < 0 < item["margin_before_s"]
    assert "too late" in item["reason"]
    assert "Do not use" in item["action"]


def test_another_temperature_is_played_on_the_network(judge: Callable[..., Any]) -> None:
    """Hands take as long with any resin, so the runs decide; warmer resin is wet sooner."""
    (item,) = judge({"mould_temperature_c": 24, "resin_temperature_c": 24})["items"]
    assert item["decided_by"] == "full_run"
    assert item["wet_out_after_s"] < item["wet_out_before_s"]


def test_what_the_resin_data_do_not_reach_is_set_aside(judge: Callable[..., Any]) -> None:
    """Nothing is guessed beyond the data sheet; the reason says what is missing."""
    report = judge({"mould_temperature_c": 45, "resin_temperature_c": 45})
    (item,) = report["items"]
    assert (item["answer"], report["set_aside"]) == ("set_aside", 1)
    assert "45" in item["reason"]


def test_a_batch_of_the_store_is_judged_by_its_newest_test(service: Any, judge: Callable[..., Any]) -> None:
    """The resin's data sheet, scaled through the batch's gel test, at the initiator level of each shot."""
    resin = service.client.post("/v1/resins", json=RESIN)
    assert resin.status_code in (200, 201), resin.text
    report = judge({"resin_id": resin.json()["id"], "batch": "B-9"})
    (item,) = report["items"]
    assert any("B-9" in sentence for sentence in report["change"])
    # The test lies at 70 min where the data sheet has a value of its own: the limit is the stated share of 70 min.
    assert item["gel_limit_after_s"] == pytest.approx(0.7 * 70 * 60, rel=1e-6)


def test_a_plan_says_whose_gel_test_it_goes_by(service: Any, judged_job: Any, tiny_source: bytes) -> None:
    """With a batch of the store: how its curve was moved, in plan.json and on the sheet; by a test of tonight: that."""
    resin = service.client.post("/v1/resins", json=RESIN).json()
    layout = service.keep(tiny_source.replace(b"name: tiny panel", b"name: panel of a batch"))
    asked = {"layout_id": layout["id"], "resin_id": resin["id"], "batch": "B-9"}
    job = service.finished(service.client.post("/v1/plans", json=asked).json()["id"])
    gel_times, viscosities = service.client.get(job["links"]["plan"]).json()["conditions"]["resin_taken_from"]
    assert "the test of batch B-9 on 2026-03-02: 70 min at 20 degrees C" in gel_times
    assert "no viscosity test" in viscosities
    sheet = service.client.get(f"{job['links']['plan']}/run-sheet").text
    assert "through the test of batch B-9 on 2026-03-02" in sheet
    kept = service.client.get(f"{judged_job['links']['plan']}").json()["conditions"]
    assert "resin_taken_from" not in kept


def test_a_test_that_leads_out_of_the_limits_of_a_resin_is_refused_with_the_resin(service: Any) -> None:
    """2 min at 20 degrees C would make the 46 min at 30 less than one: nobody could be planned for with this batch."""
    resin = deepcopy(RESIN)
    resin["batches"][0]["gel_tests"][0]["gel_time_min"] = 2
    answer = service.client.post("/v1/resins", json=resin)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/batches/0/gel_tests/0"]


def test_a_plan_that_holds_no_longer_is_planned_again(service: Any, judge: Callable[..., Any]) -> None:
    """Asked to, the run ends with a new job for it; the report shows what became of that."""
    (item,) = judge(_gel_test(5.5), plan_again="invalid")["items"]
    job = service.job(item["replan_job_id"])
    assert (job["state"], job["kind"]) == ("succeeded", "plan")
    assert item["replan_state"] == job["result"]["verdict"]
    assert item["replan_plan_id"] == job["result"]["plan_id"]


def test_the_report_comes_in_every_form(service: Any, judge: Callable[..., Any]) -> None:
    """CSV (RFC 4180), XLSX and HTML say of the plan what JSON says."""
    report = judge(_gel_test(118.0))
    plan_id = report["items"][0]["plan_id"]
    as_csv = service.client.get(report["links"]["report_csv"])
    rows = list(csv.reader(io.StringIO(as_csv.content.decode("utf-8-sig"))))
    assert any(plan_id in row for row in rows)
    workbook = io.BytesIO(service.client.get(report["links"]["report_xlsx"]).content)
    book = openpyxl.load_workbook(workbook, read_only=True)
    assert any(plan_id in row for sheet in book for row in sheet.iter_rows(values_only=True))
    book.close()
    page = service.client.get(report["links"]["report_html"])
    assert page.headers["content-type"].startswith("text/html")
    assert "script" not in page.headers["content-security-policy"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({}, "/change"),
        ({"batch": "B-9"}, "/change/batch"),
        ({"resin_revision": 1}, "/change/resin_revision"),
        ({"resin_id": "resin_" + "0" * 32}, "/change/resin_id"),
        ({"mould_temperature_c": 300}, "/change/mould_temperature_c"),
        ({"gel_test": {"temperature_c": 20}}, "/change/gel_test/gel_time_min"),
        ({"colour": "red"}, "/change/colour"),
    ],
)
def test_a_change_that_cannot_be_used_names_its_place(service: Any, change: dict[str, Any], pointer: str) -> None:
    """422 with a pointer into the body that was sent."""
    answer = service.client.post("/v1/revalidations", json={"change": change})
    assert answer.status_code == 422
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}


@pytest.mark.usefixtures("judged_job")
@pytest.mark.parametrize(
    ("plans", "pointer", "remedy"),
    [
        ({"layout_id": "layout_" + "0" * 32}, "/plans/layout_id", "GET /v1/layouts"),
        ({"resin": "demo rasin"}, "/plans/resin", "did you mean 'demo resin'?"),
        ({"batch": "no such batch at all"}, "/plans/batch", ""),
        ({"resin": "demo resin", "name": "no such part"}, "/plans/name", ""),
    ],
)
def test_a_filter_that_fits_no_plan_at_all_is_refused(
    service: Any, plans: dict[str, Any], pointer: str, remedy: str
) -> None:
    """Else a planning tool with a slip in a name would judge nothing, night after night."""
    answer = service.client.post("/v1/revalidations", json={"change": {"mould_temperature_c": 21}, "plans": plans})
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"] == pointer
    assert error["remedy"].startswith(remedy)


@pytest.mark.parametrize(("temperature_c", "initiator_percent"), [(20, 60), (99, 1.5)])
def test_a_gel_test_that_no_resin_of_the_plans_reaches_is_refused(
    service: Any, judged_job: dict[str, Any], temperature_c: float, initiator_percent: float
) -> None:
    """Else each plan would be set aside for the same slip of the pen."""
    test = {"temperature_c": temperature_c, "initiator_percent": initiator_percent, "gel_time_min": 60}
    body = {"change": {"gel_test": test}, "plans": {"layout_id": judged_job["layout_id"]}}
    answer = service.client.post("/v1/revalidations", json=body)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/change/gel_test"]


@pytest.mark.usefixtures("judged_job")
def test_the_shell_refuses_a_resin_that_no_plan_is_for(service: Any, tapcall: Callable[..., Any]) -> None:
    """One line that names the option, and what may have been meant."""
    ended = tapcall("revalidate", "--data", service.data, "--gel-test", "20:1.5:6", "--planned-for", "demo rasin")
    assert ended.returncode == 2
    assert "--planned-for" in ended.stderr
    assert "demo resin" in ended.stderr


def test_the_shell_judges_the_plans_of_one_part_under_another_vacuum(
    service: Any, judged_job: Any, tapcall: Callable[..., Any], tiny_source: bytes
) -> None:
    """By the name of the case, or by the layout; a name or a layout that is not there is named by its option."""
    change = ("revalidate", "--data", service.data, "--vacuum-mbar-abs", "60")
    by_part = tapcall(*change, "--part", "judged panel")
    by_layout = tapcall(*change, "--layout", judged_job["layout_id"])
    for ended in (by_part, by_layout):
        assert ended.returncode in (0, 3), ended.stderr
        assert "the vacuum under the bag is 60 mbar absolute" in ended.stdout
        assert re.search(r"^Run revalidation_\w+: 1 plans", ended.stderr, re.MULTILINE)
    mistyped = tapcall(*change, "--part", "juged panel")
    assert (mistyped.returncode, "did you mean 'judged panel'?" in mistyped.stderr) == (2, True), mistyped.stderr
    assert mistyped.stderr.startswith("--part: ")
    nowhere = tapcall(*change, "--layout", "layout_" + "0" * 32)
    assert (nowhere.returncode, nowhere.stderr.startswith("--layout: ")) == (2, True), nowhere.stderr
    other = service.keep(tiny_source.replace(b"name: tiny panel", b"name: never planned"))
    apart = tapcall(*change, "--part", "judged panel", "--layout", other["id"])
    assert (apart.returncode, apart.stderr.startswith("--planned-for, --planned-batch, --part and")) == (2, True)
    assert "leave one of its fields out" in apart.stderr


def test_the_shell_judges_the_same_store(
    service: Any, judged_job: Any, tapcall: Callable[..., Any], tmp_path: Path
) -> None:
    """Beside the running service: exit code 3 where a plan holds no longer, and the report in all its forms."""
    ended = tapcall("revalidate", "--data", service.data, "--gel-test", "20:1.5:6", "--out", tmp_path / "tonight")
    assert ended.returncode == 3, ended.stderr
    report = json.loads((tmp_path / "tonight" / "report.json").read_text())
    answers = {item["plan_id"]: item["answer"] for item in report["items"]}
    assert answers[judged_job["result"]["plan_id"]] == "no_longer_valid"
    assert report["looked_at"] == "All verified plans of the store."
    assert {path.name for path in (tmp_path / "tonight").iterdir()} == {
        "report.json", "report.csv", "report.xlsx", "report.html",
    }  # fmt: skip


def test_the_shell_writes_what_must_be_printed(
    service: Any, judged_job: Any, tapcall: Callable[..., Any], tmp_path: Path
) -> None:
    """Run sheet and tap labels of the new clock, under the number at their foot; the page links to them."""
    plan = PlanDocument.model_validate(service.client.get(f"/v1/plans/{judged_job['result']['plan_id']}").json())
    assert sheet_of(judged_job["result"]["plan_id"]) == sheet_mark(plan)
    change = ("revalidate", "--data", service.data, "--gel-test", "20:1.5:60", "--part", "judged panel")
    ended = tapcall(*change, "--plan-again", "invalid", "--out", "tonight")
    assert ended.returncode == 3, ended.stderr
    report = json.loads((tmp_path / "tonight" / "report.json").read_text())
    (item,) = [one for one in report["items"] if one["plan_id"] == judged_job["result"]["plan_id"]]
    assert (item["answer"], item["replan_state"]) == ("new_clock", "verified")
    assert item["sheet"] == sheet_mark(plan)
    assert item["reason"].startswith("do not use this sheet as printed; print again: ")
    assert "resin 20 °C" in item["conditions"]
    page = (tmp_path / "tonight" / "report.html").read_text()
    for name in (f"sheets/{item['replan_sheet']}-run-sheet.pdf", f"sheets/{item['replan_sheet']}-tap-labels.pdf"):
        assert (tmp_path / "tonight" / name).read_bytes().startswith(b"%PDF")
        assert f'href="{name}"' in page
    assert f"{item['sheet']}  {item['case_name']}" in ended.stdout
    assert re.search(r"^\d+ of \d+ plans judged", ended.stderr, re.MULTILINE)


@pytest.mark.usefixtures("judged_job")
def test_a_run_that_would_look_at_nothing_is_not_green(service: Any, tapcall: Callable[..., Any]) -> None:
    """A name mistyped: exit 2 with the names there are and the one that was meant; yesterday's report is not left."""
    Path("tonight").mkdir()
    for name in ("report.html", "report.json"):
        Path("tonight", name).write_text("yesterday")
    change = ("revalidate", "--data", service.data, "--gel-test", "20:1.5:60", "--out", "tonight")
    ended = tapcall(*change, "--planned-for", "demo resni")
    assert (ended.returncode, ended.stdout) == (2, "")
    (line,) = ended.stderr.splitlines()
    assert "demo resni" in line
    assert "did you mean 'demo resin'?" in line
    page, said = Path("tonight/report.html").read_text(), json.loads(Path("tonight/report.json").read_text())
    assert "FAILED" in page
    assert "demo resni" in page
    assert (said["state"], datetime.fromisoformat(said["at"]).tzinfo) == ("failed", UTC)
    assert [path.read_text() for path in Path("tonight/earlier").glob("*/report.html")] == ["yesterday"]
    assert tapcall(*change, "--planned-for", "demo resin").returncode == 3
    assert json.loads(Path("tonight/report.json").read_text())["looked_at"] == "Plans made for resin demo resin."


def test_a_store_without_a_plan_says_so(tapcall: Callable[..., Any], migrated_file: Path) -> None:
    """No fault: there is no sheet that could be wrong. Exit 0, and a report of none, whatever the filter."""
    Path("data").mkdir()
    shutil.copy(migrated_file, "data/tapcall.sqlite3")
    ended = tapcall("revalidate", "--data", "data", "--gel-test", "20:1.5:60", "--planned-for", "demo resin")
    assert (ended.returncode, ended.stdout.splitlines()[0]) == (0, "No stored plan was looked at.")


def test_a_request_to_a_store_without_a_plan_is_no_fault(store: Database) -> None:
    """As in the shell; a layout that is not there is one all the same."""
    refuse_to_judge_nothing(store, PlanFilter(resin="demo resin", batch="A", name="any"), "{}")
    with pytest.raises(InputError, match="/plans/layout_id"):
        refuse_to_judge_nothing(store, PlanFilter(layout_id="layout_" + "0" * 32), "{}")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ((), ("--gel-test", "--mould-temperature-c", "--resin-temperature-c", "--initiator-level-percent", "--resin")),
        (("--batch", "B-12"), ("--batch", "--resin")),
        (("--planned-for", "demo resin"), ("no change", "--gel-test")),
        (("--mould-temperature-c", "300"), ("--mould-temperature-c: found",)),
    ],
    ids=" ".join,
)
def test_what_the_shell_cannot_use_is_named_by_its_options(
    service: Any, tapcall: Callable[..., Any], options: tuple[str, ...], says: tuple[str, ...]
) -> None:
    """As they are typed, not as the document has them."""
    ended = tapcall("revalidate", "--data", service.data, *options)
    assert ended.returncode == 2
    assert all(word in ended.stderr for word in says)
    assert "_c" not in ended.stderr


def test_the_shell_refuses_a_gel_test_that_is_none(tapcall: Callable[..., Any], tmp_path: Path) -> None:
    """One line that names the option, what was there and what would be right."""
    ended = tapcall("revalidate", "--data", tmp_path / "data", "--gel-test", "twenty")
    assert ended.returncode == 2
    assert "--gel-test" in ended.stderr
    assert "20:1.5:74" in ended.stderr
