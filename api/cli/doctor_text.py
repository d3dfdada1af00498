"""Findings as lines for a person, and as JSON for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict

from api.doctor.finding import Finding, State, worst

_WIDTH = 9


def lines_of(finding: Finding) -> str:
    """State, thing, what was found; below it what to do."""
    first = f"{finding.state:<{_WIDTH}}{finding.what}: {finding.found}"
    return f"{first}\n{'':<{_WIDTH}}-> {finding.do}" if finding.do else first


def last_line(findings: Sequence[Finding]) -> str:
    counts = Counter(finding.state for finding in findings)
    return f"{counts[State.TROUBLE]} trouble, {counts[State.WARNING]} warnings, {counts[State.OK]} ok"


def as_plain(findings: Sequence[Finding], software_version: str) -> dict[str, object]:
    return {
        "state": worst(finding.state for finding in findings),
        "software_version": software_version,
        "findings": [asdict(finding) for finding in findings],
    }
