"""Numbers as the crew reads them: minutes from the start, kilograms, no more digits than anyone can use."""

from __future__ import annotations

import math
from collections.abc import Callable

BLANK, SHORT_BLANK, CLOCK_BLANK, BOX = "____________", "_____", "____:____", "☐"
"""Room to write in: a name, a figure, a time of day; and a box to tick within a sentence."""

SHORT_SHOT_S = 20 * 60.0
"""Below this wet-out, whole minutes are too coarse and one decimal is printed."""


def is_short(wet_out_s: float | None) -> bool:
    return wet_out_s is not None and wet_out_s < SHORT_SHOT_S


def minutes(time_s: float, *, short: bool, rounded: Callable[[float], float] = round) -> str:
    """Minutes from the start, rounded by `rounded` to whole minutes, or to tenths in a short shot."""
    per_minute = 10 if short else 1
    ticks = rounded(round(time_s / 60.0 * per_minute, 6))
    return f"{ticks / per_minute:.1f}" if short else f"{ticks:.0f}"


def minute_range(earliest_s: float | None, latest_s: float | None, *, short: bool) -> str:
    """'19–31', widened outwards to the printed step; empty where it is not known or no wider than that."""
    if earliest_s is None or latest_s is None:
        return ""
    early = minutes(earliest_s, short=short, rounded=math.floor)
    late = minutes(latest_s, short=short, rounded=math.ceil)
    return "" if early == late else f"{early}–{late}"


def step_minutes(at_s: float, earliest_s: float | None, latest_s: float | None, *, short: bool) -> tuple[str, str]:
    """'6.5' and '5–14': expected, then from when to stand ready and past when to CALL, so both rounded down.

    In halves where whole minutes are too coarse, in a short shot in tenths; '' where nothing is known, or no more.
    """
    per_minute = 10 if short else 2
    expected = round(at_s / 60.0 * per_minute) / per_minute
    if earliest_s is None or latest_s is None:
        return _plain(expected, short=short), ""
    early, late = expected, expected
    for ticks in (10,) if short else (1, 2):
        early, late = (math.floor(round(one / 60.0 * ticks, 6)) / ticks for one in (earliest_s, latest_s))
        if early < late >= expected:
            break
    spread = f"{_plain(early, short=short)}–{_plain(late, short=short)}" if early < late else ""
    return _plain(min(expected, late) if spread else expected, short=short), spread


def _plain(value: float, *, short: bool) -> str:
    return f"{value:.1f}" if short else f"{value:g}"


def min_with_range(at_s: float, earliest_s: float | None, latest_s: float | None, *, short: bool) -> str:
    """'min 24 (19–31)'."""
    spread = minute_range(earliest_s, latest_s, short=short)
    middle = f"min {minutes(at_s, short=short)}"
    return f"{middle} ({spread})" if spread else middle


def kilograms(mass_kg: float) -> str:
    """Tenths, small or large: one kind of figure on the whole sheet."""
    return f"{mass_kg:.1f} kg"


def weighed(mass_kg: float) -> str:
    """The least of a quantity that is put on the scales: rounded up to the gram, as its parts are weighed in grams."""
    return f"{grams_up(1000 * mass_kg) / 1000:.3f} kg"


def grams_up(mass_g: float) -> int:
    """To four decimals first, so that the noise of floating point does not ask for a gram more."""
    return math.ceil(round(mass_g, 4))


def to_have_kg(mass_kg: float) -> float:
    """Rounded up to a tenth of a kilogram, as resin is printed that must be on hand."""
    return math.ceil(round(mass_kg * 10, 6)) / 10


def to_have(mass_kg: float) -> str:
    """A quantity that must be on hand."""
    return f"{to_have_kg(mass_kg):.1f} kg"


def number(value: float) -> str:
    """A planned reading without trailing noughts."""
    return f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}"


def sentence(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def in_one_sense(says: str) -> str:
    """Plans that were kept say of triggers that they call; on the sheet that is for the person in charge alone."""
    return says.replace("Act as they call", "Act as their triggers come").replace("they call", "they come due")


def listed(names: list[str]) -> str:
    """'2, 3 and 4'."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
