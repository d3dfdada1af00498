"""What lies in the place of a report as long as there is none: nobody is to take yesterday's for today's."""

from __future__ import annotations

import json
from datetime import datetime
from html import escape

from api.reports.report_words import local_and_utc
from api.reports.shown_text import shown
from optimiser.run_sheet import ink

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>
body {{ font: 1.3rem/1.4 "DejaVu Sans", Verdana, Arial, sans-serif; color: {black}; background: {white}; }}
h1 {{ background: {black}; color: {white}; padding: .4rem .8rem; font-size: 3rem; }}</style>
</head>
<body>
<h1>{title}</h1>
<p>{at}</p>
<p><b>{reason}</b></p>
<p>No stored sheet was judged by this run: none may be used on the strength of it. {then}</p>
</body>
</html>
"""


def no_report_html(*, failed: bool, reason: str, at: datetime, then: str) -> str:
    """A page with one thing on it."""
    return _PAGE.format(
        title=_title(failed),
        at=escape(local_and_utc(at)),
        reason=escape(shown(reason)),
        then=escape(shown(then)),
        black=ink.BLACK,
        white=ink.WHITE,
    )


def no_report_json(*, failed: bool, reason: str, at: datetime, then: str) -> str:
    """For a program: no report, and why."""
    state = "failed" if failed else "running"
    said = {"schema_version": 1, "state": state, "at": at.isoformat(), "reason": reason, "then": then}
    return json.dumps(said, indent=2, ensure_ascii=False) + "\n"


def _title(failed: bool) -> str:
    return "FAILED: there is no report" if failed else "NOT FINISHED: there is no report yet"
