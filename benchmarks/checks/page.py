"""The page of all check values: ours, expected, how far apart, and where the number comes from."""

from __future__ import annotations

from typing import Any

from benchmarks.checks.rows import CheckRow, computed, families, rows_of
from benchmarks.page import table

NINE_DIGITS = 5e-9
"""Half a unit of the ninth digit, which is what most expected values are printed to."""

_PAGE = """# Check values

Written by `python -m benchmarks.checks` from [tests/check_values](../tests/check_values/SOURCES.md): {count} rows
worked out apart from this code, in {families} families, each beside what the law of `optimiser/physics` gives for the
same inputs. Eight digits are printed; 'nine digits' says that the two agree to half a unit of the ninth or better.
Inputs and tolerances stand in the file of the family. In the drawings lines are the law, marks the check values.

'derived' follows from the law named. 'from memory, unopened' was not looked up: see the work before you rely on it.
'seen in text' was read where it says. No number here is a measurement on a moulding.

{summary}

{sections}
"""

_SECTION = """## {family}

![{family}: the law as lines, check values as marks](checks/{family}.svg)

{rows}

Sources of [{family}.csv](../tests/check_values/{family}.csv):

{sources}"""


def page() -> str:
    """The whole page as Markdown."""
    named = [(family, list(rows_of(family))) for family in families()]
    return _PAGE.format(
        count=sum(len(rows) for _, rows in named),
        families=len(named),
        summary=table(("family", "rows", "largest error"), [_summary(family, rows) for family, rows in named]),
        sections="\n\n".join(_section(family, rows) for family, rows in named),
    )


def relative_error(row: CheckRow) -> float:
    """The largest over the numbers of a row; where none is expected, the error itself."""
    pairs = zip(_numbers(computed(row)), _numbers(row.expected), strict=True)
    return max(abs(ours - expected) / (abs(expected) or 1.0) for ours, expected in pairs)


def _summary(family: str, rows: list[CheckRow]) -> tuple[object, ...]:
    return f"[{family}](#{family})", len(rows), _error(max(map(relative_error, rows)))


def _section(family: str, rows: list[CheckRow]) -> str:
    sources = list(dict.fromkeys(f"{row.source}; {row.sureness}" for row in rows))
    cells = [
        (
            row.case,
            f"`{row.law}`",
            _printed(computed(row)),
            _printed(row.expected),
            _error(relative_error(row)),
            sources.index(f"{row.source}; {row.sureness}") + 1,
        )
        for row in rows
    ]
    return _SECTION.format(
        family=family,
        rows=table(("case", "law", "ours", "expected", "relative error", "source"), cells),
        sources="\n".join(f"{number}. {text}" for number, text in enumerate(sources, start=1)),
    )


def _error(error: float) -> str:
    return "nine digits" if error <= NINE_DIGITS else f"{error:.1e}"


def _printed(value: Any) -> str:
    return ", ".join(f"{each:.8g}" for each in _numbers(value))


def _numbers(value: Any) -> list[float]:
    return [float(each) for each in (value if isinstance(value, list | tuple) else [value])]
