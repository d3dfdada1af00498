"""How the chosen sequence stands against the others that hold, by the variations that they were played in."""

from __future__ import annotations

from optimiser.plan.by_sight import goes_by_sight
from optimiser.plan.play_scatter import ShotOutcome
from optimiser.plan.result import Compared, Robustness
from optimiser.units import min_from_s


def compared_words(found: Robustness) -> str:
    """What the choice rests on, and what it gave up in time."""
    chosen, count = found.chosen, len(found.variations.scenarios)
    others = [one for one in found.compared if one is not chosen]
    if not others:
        deciding = chosen.played[: found.compared_in]
        if all(one.outcome is ShotOutcome.CLEAN for one in deciding):
            first = "" if found.compared_in == count else f" in the first {found.compared_in}"
            return f"It is the fastest that holds{_by_sight(found)}, and nothing can be clean more often{first}."
        played = "No other that was played on the full network and holds"
        return f"{played} is near enough to the fastest to be held against it."
    within = f" The choice rests on the first {found.compared_in}." if found.compared_in < count else ""
    if gave_up_s(found) <= 0:
        return f"It is the fastest that holds; of {len(others)} near it none stayed clean more often.{within}"
    faster = f"{min_from_s(gave_up_s(found)):.1f} min faster"
    fastest = next((one for one in others if one.sequence.run.wet_out_s <= found.fastest_s), None)
    if fastest is None:
        return f"The fastest that holds is {faster} and was played in none of them{_by_clock(found)}.{within}"
    whole = [one.clean for one in others if one is not fastest and not one.given_up]
    then = f"; the next best in {max(whole)}" if whole else ""
    return f"The fastest that holds is {faster} and {_fared(fastest)}{then}.{within}"


def gave_up_s(found: Robustness) -> float:
    """By how much the chosen one is slower than the fastest that holds."""
    return max(0.0, found.chosen.sequence.run.wet_out_s - found.fastest_s)


def _by_sight(found: Robustness) -> str:
    return " and goes by sight" if gave_up_s(found) > 0 else ""


def _by_clock(found: Robustness) -> str:
    return ": it goes by the clock" if goes_by_sight(found.chosen.sequence.sequence) else ""


def _fared(one: Compared) -> str:
    if not one.given_up:
        return f"stayed clean in {one.clean}"
    return f"failed in {len(one.played) - one.clean} of the {len(one.played)} that it was played in"
