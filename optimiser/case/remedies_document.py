"""How the plan names the changes of the case that were tried and do it."""

from __future__ import annotations

from typing import Any

from optimiser.case.document_shape import DocumentShape


class CaseEdit(DocumentShape):
    """One place of the case with another value: an operation of JSON Patch (RFC 6902) without its `op`."""

    path: str
    """JSON pointer (RFC 6901) into the complete case. A last '-', or a field that is not there, is an `add`; any other
    is a `replace`."""
    value: Any
    """What stands there then, in the units of the case."""


class Remedy(DocumentShape):
    """A change with which a sequence was played on the full network and is all wet in time.

    With the stated spread it locks no air; whether it is in time there too, `slowest_wet_out_s` says.
    """

    effort: int
    """From 1, the least. Common practice, no source: what is set on the day comes before what is built."""
    change: str
    """In a sentence for the engineer."""
    edits: list[CaseEdit]
    """The same for programs: what to write into the case, applied in this order."""
    sequence: str
    """Name of the sequence that was played with it."""
    wet_out_s: float
    """When the last place is wet, to the tool side."""
    gel_limit_s: float
    """Limit with this change."""
    gel_margin_s: float
    """Limit minus wet-out."""
    slowest_wet_out_s: float | None
    """Latest wet-out in the runs with the stated spread; null: not all wet in one of them."""

    @property
    def holds_when_slow(self) -> bool:
        """In time in the slow case too."""
        return self.slowest_wet_out_s is not None and self.slowest_wet_out_s <= self.gel_limit_s


class TriedChange(DocumentShape):
    """A change that was tried and does not do it."""

    change: str
    """In a sentence."""
    outcome: str
    """What failed with it."""


class Remedies(DocumentShape):
    """Changes that were tried where no sequence is admissible."""

    statement: str
    """What was tried, and where trying ended."""
    network_runs: int
    """Runs played for it, beyond those of the plan."""
    found: list[Remedy]
    """Those that do it: in time in the slow case too before the others, then least effort first. Each changes the case
    as it stands, not one another."""
    failed: list[TriedChange]
    """Those that do not."""
