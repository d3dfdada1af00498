"""What is said of a stored plan after a change, whichever way it was found."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final

from optimiser.case.printed_minutes import limit_min, margin_min, wet_out_min
from optimiser.case.scale_resin import FAR_OFF
from optimiser.errors import InputError
from optimiser.revalidation.facts import Facts

MOVED_S: Final = 30.0
MOVED_SHARE: Final = 0.02
"""The sheet states minutes: a time has moved when it is off by more than half of one and by more than this share."""
_MOST_FAULTS = 3
_MOST_CHANGES = 3


class Kind(StrEnum):
    STILL_VALID = "still_valid"
    """And no time on the sheet has moved: the printed sheet may be used."""
    NEW_CLOCK = "new_clock"
    """Valid, but what the sheet states has changed: print again."""
    NO_LONGER_VALID = "no_longer_valid"


class Way(StrEnum):
    LOOK_UP = "look_up"
    FULL_RUN = "full_run"


@dataclass(frozen=True, kw_only=True)
class Answer:
    kind: Kind
    way: Way
    wet_out_before_s: float | None
    wet_out_after_s: float | None
    """None: never all wet."""
    gel_limit_before_s: float
    gel_limit_after_s: float
    margin_before_s: float | None
    margin_after_s: float | None
    """Limit minus wet-out; negative: too late."""
    reason: str
    """One sentence: what fails and by how much, or what to print again, or that nothing moves."""
    network_runs: int

    def to_plain(self) -> dict[str, Any]:
        """As JSON may hold it."""
        return asdict(self)


@dataclass(frozen=True, kw_only=True)
class CannotLookUp:
    """No table look-up would be exact: the sequence has to be played again."""

    reason: str


@dataclass(frozen=True, kw_only=True)
class CannotJudge:
    """Nothing can be said, for example beyond the resin's data: to be set aside for a person."""

    reason: str

    @staticmethod
    def because_of(error: InputError) -> CannotJudge:
        more = len(error.faults) - _MOST_FAULTS
        listed = "; ".join(str(fault) for fault in error.faults[:_MOST_FAULTS])
        return CannotJudge(reason=f"{listed}; and {more} more" if more > 0 else listed)


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a look-up or the runs found, before it is weighed."""

    wet_out_s: float
    """Infinity: never all wet."""
    gel_time_s: float
    gel_limit_s: float
    """From the first tap."""
    gel_fraction: float
    other_failure: str | None
    """The first requirement that fails, lateness aside."""
    moved: tuple[str, ...]
    """What on the sheet is no longer so, in words; gel aside."""
    network_runs: int = 0


def answer_of(facts: Facts, found: Found, way: Way) -> Answer:
    kind, reason = _weighed(facts, found)
    return Answer(
        kind=kind,
        way=way,
        wet_out_before_s=facts.wet_out_s,
        wet_out_after_s=_finite(found.wet_out_s),
        gel_limit_before_s=facts.gel_limit_s,
        gel_limit_after_s=found.gel_limit_s,
        margin_before_s=None if facts.wet_out_s is None else facts.gel_limit_s - facts.wet_out_s,
        margin_after_s=_finite(found.gel_limit_s - found.wet_out_s),
        reason=reason + _doubt(found.gel_time_s / facts.gel_time_s),
        network_runs=found.network_runs,
    )


def has_moved(before_s: float, after_s: float) -> bool:
    """Whether a time on the sheet is no longer what it was."""
    return abs(after_s - before_s) > max(MOVED_S, MOVED_SHARE * before_s)


def _wet_and_limit(found: Found) -> str:
    return f"wet at minute {wet_out_min(found.wet_out_s):.1f}, limit minute {limit_min(found.gel_limit_s):.1f}"


def _weighed(facts: Facts, found: Found) -> tuple[Kind, str]:
    wet, limit, times = found.wet_out_s, found.gel_limit_s, _wet_and_limit(found)
    if found.other_failure is not None:
        return Kind.NO_LONGER_VALID, found.other_failure
    if wet > limit:
        late = margin_min(limit, wet) or 0.0
        return Kind.NO_LONGER_VALID, (
            f"wet-out within {found.gel_fraction:.0%} of the gel time: {times}, {-late:.1f} min too late"
        )
    moved = [*([] if facts.admissible else ["the plan was not admissible before"]), *found.moved, *_gel(facts, found)]
    if moved:
        more = len(moved) - _MOST_CHANGES
        said = "; ".join(moved[:_MOST_CHANGES]) + (f"; and {more} more" if more > 0 else "")
        return Kind.NEW_CLOCK, f"do not use this sheet as printed; print again: {said}; now {times}"
    return Kind.STILL_VALID, f"valid, {times}; no time on the sheet moves by more than half a minute or 2 %"


def _gel(facts: Facts, found: Found) -> list[str]:
    """Gel that comes sooner is told from half a minute on, whatever share that is: late is the unsafe side."""
    pairs = {"gel": (facts.gel_time_s, found.gel_time_s), "the gel limit": (facts.gel_limit_s, found.gel_limit_s)}
    return [
        f"{name} moves from minute {limit_min(before):.1f} to {limit_min(after):.1f}"
        for name, (before, after) in pairs.items()
        if before - after > MOVED_S or has_moved(before, after)
    ]


def _doubt(ratio: float) -> str:
    if 1 / FAR_OFF <= ratio <= FAR_OFF:
        return ""
    return f"; CHECK THE TEST: gel comes after {ratio:.2g} times as long as when planned. Was it minutes, this resin?"


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
