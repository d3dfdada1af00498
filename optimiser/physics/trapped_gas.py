"""What is left of air that the resin has closed in.

Source: Boyle's law for an isothermal ideal gas; gas that dissolves in the resin or leaks in is not counted, so a spot
closed in late shrinks but never goes. Pressures are absolute. Arguments may be arrays of one shape.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError

Values = TypeVar("Values", float, NDArray[np.float64])


def compressed_volume_m3(*, volume_m3: float, trapped_at_pa: float, pressed_to_pa: float) -> float:
    """Volume, m3, of trapped gas at another pressure: V p_trapped / p.

    Range: absolute pressures above 0, else OutOfRangeError.
    """
    if not (trapped_at_pa > 0 and pressed_to_pa > 0):
        raise OutOfRangeError("pressures of trapped gas are absolute and lie above 0")
    return gas_room_m3(amount_pa_m3=trapped_at_pa * volume_m3, pressure_pa=pressed_to_pa)


def gas_room_m3(*, amount_pa_m3: Values, pressure_pa: Values) -> Values:
    """Volume, m3, that an amount of gas, p V in Pa m3, takes up at a pressure: p V / p. Range: pressure above 0."""
    return amount_pa_m3 / pressure_pa


def gas_pressure_pa(*, amount_pa_m3: Values, room_m3: Values) -> Values:
    """Pressure, Pa, of an amount of gas, p V in Pa m3, in the room that resin leaves it: p V / V.

    Range: room above 0.
    """
    return amount_pa_m3 / room_m3
