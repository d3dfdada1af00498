"""What is left of air that the resin has closed in.

Gas that dissolves in the resin or leaks in is not counted, so a spot closed in late shrinks but never goes. Pressures
are absolute.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError

Values = TypeVar("Values", float, NDArray[np.float64])


def compressed_volume_m3(*, volume_m3: float, trapped_at_pa: float, pressed_to_pa: float) -> float:
    """Volume, m3, of trapped gas at another pressure: V2 = V p_trapped / p.

    V in m3, pressures in Pa absolute. Range: pressures above 0, else OutOfRangeError; isothermal ideal gas, none of it
    dissolved. Source: Boyle's law.
    """
    if not (trapped_at_pa > 0 and pressed_to_pa > 0):
        raise OutOfRangeError("pressures of trapped gas are absolute and lie above 0")
    return gas_room_m3(amount_pa_m3=trapped_at_pa * volume_m3, pressure_pa=pressed_to_pa)


def pressed_by_pa(*, closed_in_pa: float, closed_in_m3: float, left_m3: float) -> float:
    """How much more than where it was closed in air is pressed, Pa: dp = p_0 (V_0 / V - 1).

    p_0, Pa absolute, and V_0, m3, when it was closed in; V, m3, what is left of its room. Range: volumes above 0, not
    checked; isothermal ideal gas, none of it dissolved. Source: Boyle's law.
    """
    return closed_in_pa * (closed_in_m3 / left_m3 - 1.0)


def gas_room_m3(*, amount_pa_m3: Values, pressure_pa: Values) -> Values:
    """Volume, m3, that an amount of gas, p V in Pa m3, takes up at a pressure: V = (p V) / p.

    Numbers or arrays of one shape. Range: absolute pressure, Pa, above 0, not checked; isothermal ideal gas. Source:
    Boyle's law.
    """
    return amount_pa_m3 / pressure_pa


def gas_pressure_pa(*, amount_pa_m3: Values, room_m3: Values) -> Values:
    """Pressure, Pa absolute, of an amount of gas, p V in Pa m3, in the room, m3, that resin leaves it: p = (p V) / V.

    Numbers or arrays of one shape. Range: room above 0, not checked; isothermal ideal gas. Source: Boyle's law.
    """
    return amount_pa_m3 / room_m3
