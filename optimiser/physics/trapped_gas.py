"""What is left of air that the resin has closed in."""

from __future__ import annotations

from optimiser.errors import OutOfRangeError


def compressed_volume_m3(*, volume_m3: float, trapped_at_pa: float, pressed_to_pa: float) -> float:
    """Volume, m3, of trapped gas at another pressure, both absolute: V p_trapped / p.

    Source: Boyle's law for an isothermal ideal gas; gas that dissolves in the resin or leaks in is not counted, so a
    spot closed in late shrinks but never goes. Pressures above 0, else OutOfRangeError.
    """
    if not (trapped_at_pa > 0 and pressed_to_pa > 0):
        raise OutOfRangeError("pressures of trapped gas are absolute and lie above 0")
    return volume_m3 * trapped_at_pa / pressed_to_pa
