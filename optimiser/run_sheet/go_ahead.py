"""What has to be true before step 1, and how the table under it is read."""

from __future__ import annotations

from optimiser.run_sheet.wording import BLANK, CLOCK_BLANK

GO_HEAD = "STOP before step 1"
TURN_NOW = "TURN NOW: next step is due in the same minute"


def go_ticks(*, checks_at: str, cautions_at: str) -> tuple[str, ...]:
    """Three things to tick; `checks_at` and `cautions_at` say where on this sheet they stand."""
    return (
        f"checks ({checks_at}) all ticked",
        f"cautions ({cautions_at}) read out",
        f"GO given by {BLANK} at {CLOCK_BLANK}",
    )


HOW_TO_READ: tuple[str, ...] = (
    "'Nothing dry is left between A and B': look through the bag over the whole strip between the two lines, "
    "end to end and at the joints. No pale spot, and resin stands at the next line along its whole length.",
    "Each step goes by its own trigger. If the trigger of a later step comes first, do that step first: "
    "the plan was played that way.",
    "Steps of the same minute: any order, each on its own trigger.",
    "'kg in': through the supply since the first tap. At zero supply hose and manifold stand FULL, hoses and lines "
    "behind the taps EMPTY: fill up to the shut taps first, then read the scale as zero.",
)
"""Said once, above the table."""
