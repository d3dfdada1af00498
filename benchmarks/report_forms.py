"""The report of a revalidation of 10 000 plans in each of its forms.

Run as `python -m benchmarks.report_forms`.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from random import Random

from api.reports.actions import action_for
from api.reports.as_csv import render_csv
from api.reports.as_html import render_html
from api.reports.as_xlsx import render_xlsx
from api.reports.compile_report import compile_report
from api.reports.report_document import Answer, ReplanState, ReportItem, RevalidationReport
from benchmarks.machine import machine
from benchmarks.page import table

_PLANS = 10_000
_TIMES = 3
"""Each form is written this often; the quickest is told, as the rest is what else the machine did."""
_ANSWERS: tuple[tuple[Answer, ReplanState | None, int], ...] = (
    ("no_longer_valid", None, 3),
    ("no_longer_valid", "verified", 2),
    ("set_aside", None, 1),
    ("better_exists", "verified", 4),
    ("new_clock", None, 60),
    ("still_valid", None, 30),
)
"""Answer, state of planning again, and share in percent: a night after which most sheets must be printed again."""


def main() -> None:
    print(machine())
    print()
    print(report_forms())


def report_forms() -> str:
    """Seconds and sizes by form."""
    report = _report(Random(11))
    forms: dict[str, Callable[[], bytes]] = {
        "JSON": lambda: report.model_dump_json().encode(),
        "CSV": lambda: render_csv(report),
        "XLSX": lambda: render_xlsx(report),
        "HTML": lambda: render_html(report).encode(),
    }
    return table(("form", "seconds", "MB"), (_row(name, written) for name, written in forms.items()))


def _row(name: str, written: Callable[[], bytes]) -> tuple[object, ...]:
    times = []
    for _ in range(_TIMES):
        began = time.perf_counter()
        file = written()
        times.append(time.perf_counter() - began)
    return name, f"{min(times):.2f}", f"{len(file) / 1e6:.1f}"


def _report(chance: Random) -> RevalidationReport:
    kinds = [(answer, replan) for answer, replan, percent in _ANSWERS for _ in range(percent * _PLANS // 100)]
    chance.shuffle(kinds)
    return compile_report(
        run_id="reval_benchmark",
        made_at=datetime(2026, 3, 14, 4, 31, tzinfo=UTC),
        tapcall_version="0",
        change=["Gel time 52 min, was 61 min."],
        state="done",
        items=[_item(chance, answer, replan) for answer, replan in kinds],
    )


def _item(chance: Random, answer: Answer, replan: ReplanState | None) -> ReportItem:
    wet_out_s, limit_s = chance.uniform(1200, 3600), 3700.0
    margin_s = None if answer == "set_aside" else limit_s * 0.9 - wet_out_s
    return ReportItem(
        plan_id=f"plan_{chance.getrandbits(128):032x}",
        case_name=f"Hull side {chance.randrange(900)}, Stb. «Möwe»",
        layout_id=f"layout_{chance.getrandbits(128):032x}",
        layout_revision=chance.randrange(1, 9),
        resin="Vinyl ester 40",
        batch="B-2207",
        answer=answer,
        decided_by=None if answer == "set_aside" else "look_up",
        wet_out_before_s=wet_out_s,
        wet_out_after_s=None if answer == "set_aside" else wet_out_s,
        gel_limit_before_s=limit_s,
        gel_limit_after_s=limit_s * 0.9,
        margin_before_s=limit_s - wet_out_s,
        margin_after_s=margin_s,
        reason="The gel time of the new batch is shorter at 18 °C.",
        replan_job_id=None if replan is None else f"job_{chance.getrandbits(128):032x}",
        replan_plan_id=None if replan is None else f"plan_{chance.getrandbits(128):032x}",
        replan_state=replan,
        replan_wet_out_s=None if replan is None else wet_out_s * 0.9,
        action=action_for(answer, replan_state=replan, run_state="done"),
    )


if __name__ == "__main__":
    main()
