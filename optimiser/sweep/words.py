"""A sweep in words: what each state is called, where the numbers come from, what is left to the data sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Final

from optimiser.case.printed_minutes import margin_min
from optimiser.revalidation.answer import Way
from optimiser.run_sheet.cautions import DEFER
from optimiser.sweep.sweep_document import CellState, SweepCell, SweepDocument
from optimiser.units import min_from_s

STATE_WORDS: Final = {
    CellState.HOLDS: "OK",
    CellState.TIGHT: "TIGHT",
    CellState.LATE: "LATE",
    CellState.FAILS: "FAILS",
    CellState.NOT_JUDGED: "no data",
}
STATE_MEANS: Final = {
    CellState.HOLDS: "all wet before the gel limit, also at the slow end of the stated spread of permeability",
    CellState.TIGHT: "all wet before the gel limit as planned, but not at the slow end of the spread",
    CellState.LATE: "not all wet before the gel limit: do not shoot",
    CellState.FAILS: "air locks, or the part stays dry, or a rule of the shop is broken: do not shoot",
    CellState.NOT_JUDGED: "beyond the data entered; nothing is extrapolated",
}
BAD: Final = (CellState.LATE, CellState.FAILS)
"""The sequence must not be shot."""
WAY_WORDS: Final = {Way.LOOK_UP: "look-up", Way.FULL_RUN: "network run"}
DATA_SHEET_DECIDES: Final = "Inside the range entered; the data sheet decides."
NO_LEVEL: Final = "No level is advised here; the data sheet decides."
NOT_A_DOSE: Final = (
    "No level is advised here. Margin is one side of it: too little initiator may leave resin uncured, too much makes "
    "it hot (common practice, no source). The levels are those you entered; the resin's data sheet, your own gel test "
    "of the batch and the licensed practice of your yard decide."
)
PRINT_AGAIN: Final = (
    "A run sheet holds for its own setting alone. Enter the setting you choose in the case and plan again before the "
    "crew starts."
)
COURSE_MOVES: Final = (
    "Temperatures are those at the first tap; the case's course over the shot moves with them, as much warmer or "
    "colder at every moment."
)
CAUTION: Final = (
    "Peroxide never touches promoter directly; mixed resin left deep gets hot and may burn; styrene needs ventilation; "
    f"vessels under vacuum can collapse. {DEFER}"
)


def state_word(cell: SweepCell) -> str:
    return STATE_WORDS[cell.state]


def way_word(cell: SweepCell) -> str:
    return "" if cell.way is None else WAY_WORDS[cell.way]


def signed_margin(cell: SweepCell) -> str:
    """Minutes with their sign, as limit and wet-out are printed; empty where there is none."""
    margin = margin_min(cell.gel_limit_s, cell.wet_out_s)
    return "" if margin is None else f"{margin:+.1f}"


def temperatures(cell: SweepCell) -> str:
    mould_c, resin_c = cell.mould_temperature_c, cell.resin_temperature_c
    return f"{mould_c:g} °C" if resin_c == mould_c else f"mould {mould_c:g} °C, resin {resin_c:g} °C"


def setting_words(cell: SweepCell) -> str:
    return f"{temperatures(cell)} with {cell.initiator_percent:g} % initiator"


def most_margin_words(sweep: SweepDocument) -> str:
    """The one line that names the setting with most margin."""
    best = sweep.most_margin
    if best is None:
        return "At no setting of this table does the sequence hold: do not shoot with it."
    tight = ", but tight: " + STATE_MEANS[CellState.TIGHT] if best.state is CellState.TIGHT else ""
    return f"Most margin: {signed_margin(best)} min at {setting_words(best)}{tight}. {DATA_SHEET_DECIDES}"


def tight_words(sweep: SweepDocument) -> tuple[str, ...]:
    """What TIGHT means, where it is said of any setting."""
    tight = any(one.state is CellState.TIGHT for one in sweep.cells)
    return (f"{STATE_WORDS[CellState.TIGHT]}: {STATE_MEANS[CellState.TIGHT]}.",) if tight else ()


def own_words(sweep: SweepDocument) -> str:
    """What comes of the case's own setting."""
    own = sweep.own
    comes = f"{state_word(own)}, margin {signed_margin(own)} min"
    if own.state is CellState.LATE and own.gel_margin_s is not None:
        comes = f"LATE by {signed_margin(own).lstrip('-')} min"
    elif own.gel_margin_s is None or own.state is CellState.FAILS:
        comes = f"{state_word(own)}: {own.reason}"
    return (
        f"The case's own setting, {setting_words(own)}: {comes}.{' Do not shoot with it.' if own.state in BAD else ''}"
    )


def resin_words(sweep: SweepDocument) -> str:
    """How the resin's temperature goes with the mould's."""
    warmer_k = sweep.resin_warmer_k
    if not warmer_k:
        return "Mould and resin at the temperature given."
    return f"Temperatures are the mould's; the resin is {abs(warmer_k):g} K {'warmer' if warmer_k > 0 else 'colder'}."


def course_words(sweep: SweepDocument) -> str:
    """What the temperature of a row means where temperatures change over the shot; else empty."""
    return COURSE_MOVES if sweep.at_first_tap else ""


def limit_words(sweep: SweepDocument) -> str:
    """What the gel limit is."""
    share = f"{100 * sweep.gel_fraction:g} % of the gel time"
    age_s = sweep.age_at_first_tap_s
    return share if age_s is None else f"{share} less the {min_from_s(age_s):g} min that resin is old at the first tap"


def viscosity_words(sweep: SweepDocument) -> str:
    """At which temperature and age it is taken, and what that leaves out."""
    at = "at each moment of the shot" if sweep.at_first_tap else "both on the safe side"
    taken = f"Viscosity is taken at the colder of mould and resin, gel time at the warmer: {at}."
    if sweep.thickens:
        return f"{taken} Resin thickens in a run as that of the first mix does."
    return (
        f"{taken} It is that of fresh resin all through: resin thickens towards gel, so the last minutes are slower "
        "than computed."
    )


def reason_lines(sweep: SweepDocument) -> list[str]:
    """A sentence for each reason why a setting fails or is not judged; lateness stands in the numbers."""
    found: defaultdict[str, defaultdict[float, list[float]]] = defaultdict(lambda: defaultdict(list))
    for cell in sweep.cells:
        if cell.state in (CellState.FAILS, CellState.NOT_JUDGED):
            found[cell.reason][cell.mould_temperature_c].append(cell.initiator_percent)
    return [f"{_settings(sweep, levels_at)}: {reason}" for reason, levels_at in found.items()]


def _settings(sweep: SweepDocument, levels_at: Mapping[float, list[float]]) -> str:
    """Temperatures with the same levels together: '16, 18 °C with 1.4 to 2 %'."""
    degrees_with: defaultdict[tuple[float, ...], list[float]] = defaultdict(list)
    for each_c, levels in levels_at.items():
        degrees_with[tuple(levels)].append(each_c)
    return "; ".join(
        f"{_span(degrees, sweep.temperatures_c)} °C with {_span(levels, sweep.levels_percent)} %"
        for levels, degrees in degrees_with.items()
    )


def _span(values: Sequence[float], of: list[float]) -> str:
    """'16 to 22' for neighbours in the table, else one by one."""
    first = of.index(values[0])
    if len(values) > 2 and of[first : first + len(values)] == list(values):
        return f"{values[0]:g} to {values[-1]:g}"
    return ", ".join(f"{value:g}" for value in values)
