"""A range on the command line: first:last:step, or one value."""

from __future__ import annotations

import math

from optimiser.errors import Fault, InputError

_DIGITS = 6
_SLACK = 1e-9
"""Of a step: so that the last value is not lost to rounding."""


def values_of(option: str, text: str, *, least: float, most: float, unit: str, example: str, count: int) -> list[float]:
    """From first to last, both included where the step meets it; InputError that names the option for anything else."""

    def refused(found: str, expected: str) -> InputError:
        return InputError([Fault(path=option, found=found, expected=expected, remedy=f"for example {example}")])

    try:
        numbers = [float(part) for part in text.split(":")]
    except ValueError:
        numbers = []
    if len(numbers) not in (1, 3) or not all(map(math.isfinite, numbers)):
        raise refused(repr(text), f"first:last:step in {unit}, or one value")
    first, last, step = numbers if len(numbers) == 3 else (numbers[0], numbers[0], 1.0)
    if not least <= first <= last <= most:
        raise refused(repr(text), f"first not above last, both from {least:g} to {most:g} {unit}")
    if not step > 0:
        raise refused(f"a step of {step:g}", f"a step above 0 {unit}")
    steps = (last - first) / step + _SLACK
    if steps >= count:
        raise refused(f"{text!r}, {steps + 1:.0f} values", f"at most {count} values")
    values = [round(first + k * step, _DIGITS) for k in range(math.floor(steps) + 1)]
    if len(set(values)) < len(values):
        raise refused(f"a step of {step:g}", f"a step that can be told apart in {unit}")
    return values
