"""The greys of everything printed. Nothing is told by colour.

The sheet has to survive a copier, and a phone in the sun.
"""

from __future__ import annotations

BLACK = "#000000"
WHITE = "#ffffff"
NEAR_BLACK = "#262626"
"""Small print."""
TINT = "#e8e8e8"
"""Ground of trigger rows and table heads."""

WRITTEN_ON: tuple[tuple[str, str], ...] = (
    (BLACK, WHITE),
    (BLACK, TINT),
    (NEAR_BLACK, WHITE),
    (NEAR_BLACK, TINT),
    (WHITE, BLACK),
)
"""Every pair of writing and ground that the sheets use."""

WET_FIRST = 0.99
WET_LAST = 0.66
"""Grey of the first and of the last wet place on the map, 0 black to 1 white.

Black writing stays readable on both.
"""


def wet_greys(count: int) -> list[str]:
    """Evenly spaced greys from first to last wet, as hex colours."""
    shades = [WET_FIRST + (WET_LAST - WET_FIRST) * i / max(count - 1, 1) for i in range(count)]
    return [f"#{round(255 * shade):02x}" + f"{round(255 * shade):02x}" * 2 for shade in shades]
