"""Words round the map: title, key, room to write which side this is, and the strike over a refused plan."""

from __future__ import annotations

import math
import textwrap

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from optimiser.case.map_document import MapRun
from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import DO_NOT_INFUSE, is_verified
from optimiser.run_sheet.identity import alarm, footer
from optimiser.run_sheet.ink import BLACK, WHITE
from optimiser.run_sheet.map_marks import last_cell
from optimiser.run_sheet.map_pieces import Window
from optimiser.run_sheet.map_varied import shows_varied_locks
from optimiser.run_sheet.typeface import BOLD, PLAIN, font_file, printable
from optimiser.run_sheet.upside_down import reads_upside_down

NOT_A_PLAN = "NOT A PLAN TO WORK FROM"
WHICH_SIDE = "This side is: ____________________   forward end at x = ____________   (write in before the shot)"
TITLE_IN, SIDE_IN, KEY_LINE_IN, FOOT_IN = 0.36, 0.42, 0.17, 0.2
"""Heights of the strips above and below the drawing."""
_KEY_LETTERS, _TAG_LETTERS = 165, 130
_TITLE_PT, _TITLE_LETTERS = 14.0, 58


def key_lines(plan: PlanDocument, *, letters: bool = True) -> list[str]:
    """What the marks mean: only those that are on this map. letters: whether names are told over it by letters."""
    numbered, data = is_verified(plan), plan.map
    says = ["Thin line with a number: resin is there at that minute; darker is later."]
    if None in data.wet_s:
        says.append("Crossed over: stays dry.")
    says.append("Thick line: feed line" + (" (disc where its hose joins: number of its step)." if numbered else "."))
    says += vent_words(data.runs, numbered=numbered)
    if numbered and any(run.order is None for run in data.runs):
        says.append("Thin black line without a number: not turned.")
    if data.race_tracks:
        says.append("Thin double line: gap in which resin runs ahead.")
    if data.areas:
        says.append("Dotted: laminate patch" + (", by name or by letter (see above)." if letters else "."))
    if last_cell(plan) is not None:
        says.append("\u25b2 last to wet.")
    if any(region.fails for region in plan.locked):
        says.append("\u2716 air locked.")
    if shows_varied_locks(plan):
        says.append("\u25c6 air locked there in so many of the played variations.")
    says.append("Along the edges: metres.")
    if numbered and any(reads_upside_down(str(run.order)) for run in data.runs):
        says.append("A line under a number is its foot.")
    return textwrap.wrap(" ".join(says), _KEY_LETTERS)


def vent_words(runs: list[MapRun], *, numbered: bool) -> list[str]:
    """What a vent looks like; empty: there is none."""
    vents = [run for run in runs if run.kind == "vent"]
    drawn = ["Dashed: vent" + (" (ring: number of its step)." if numbered else ".")] if vents else []
    joined = any(run.outlet_mm is not None for run in vents)
    return [*drawn, "Small square: where a vent's hose joins."] if joined else drawn


def drawing_room(plan: PlanDocument, width_in: float, height_in: float) -> Window:
    """What title, key and foot leave of the page."""
    below = FOOT_IN + KEY_LINE_IN * len(key_lines(plan)) + (SIDE_IN if is_verified(plan) else 0.1)
    return Window(x0=0.1, x1=width_in - 0.1, y0=below, y1=height_in - TITLE_IN)


def write_round(figure: Figure, plan: PlanDocument, *, letters: bool) -> None:
    """Title, key and foot; a plan to work from also asks which side this is."""
    width_in, height_in = figure.get_size_inches()
    name = printable(plan.case_name)
    what = "STOP AND ASK (see the run sheet): map of" if alarm(plan) else "Wet-out map:"
    title, size = f"{what} {name}", _TITLE_PT * min(1.0, _TITLE_LETTERS / max(len(name), 1))
    if not is_verified(plan):
        title, size = DO_NOT_INFUSE, 20
    write(figure, title, width_in / 2, height_in - 0.05, size=size, bold=True, ha="center", va="top")
    write(figure, printable(footer(plan)), width_in / 2, 0.04, size=8.5, bold=False, ha="center", va="bottom")
    lines = key_lines(plan, letters=letters)
    for number, text in enumerate(reversed(lines)):
        y_in = FOOT_IN + number * KEY_LINE_IN
        write(figure, text, width_in / 2, y_in, size=9, bold=False, ha="center", va="bottom")
    if is_verified(plan):
        y_in = FOOT_IN + len(lines) * KEY_LINE_IN + 0.06
        write(figure, WHICH_SIDE, width_in / 2, y_in, size=11, bold=True, ha="center", va="bottom")


def write_tags(figure: Figure, tags: list[str], top_in: float) -> None:
    """What the letters on a piece stand for, below this height."""
    lines = textwrap.wrap(" · ".join(tag.replace(" ", "\u00a0") for tag in tags), _TAG_LETTERS)
    write(figure, "\n".join(lines), figure.get_figwidth() / 2, top_in, size=9.5, bold=True, ha="center", va="top")


def strike_out(figure: Figure, room: Window) -> None:
    """A heavy line from corner to corner with words on it, so that no copy of the map can pass for a plan."""
    width_in, height_in = figure.get_size_inches()
    ends = [room.x0 / width_in, room.x1 / width_in], [room.y0 / height_in, room.y1 / height_in]
    figure.add_artist(Line2D(*ends, color=BLACK, linewidth=14, zorder=20))
    figure.text(
        (room.x0 + room.x1) / 2 / width_in,
        (room.y0 + room.y1) / 2 / height_in,
        NOT_A_PLAN,
        ha="center",
        va="center",
        rotation=math.degrees(math.atan2(room.height, room.width)),
        fontsize=30,
        color=WHITE,
        font=font_file(BOLD),
        bbox={"boxstyle": "square,pad=0.35", "facecolor": BLACK, "edgecolor": WHITE, "linewidth": 2},
        zorder=21,
    )


def write(figure: Figure, text: str, x_in: float, y_in: float, *, size: float, bold: bool, ha: str, va: str) -> None:
    """One text on the page, placed in inches."""
    width_in, height_in = figure.get_size_inches()
    figure.text(
        x_in / width_in,
        y_in / height_in,
        text,
        ha=ha,
        va=va,
        fontsize=size,
        color=BLACK,
        font=font_file(BOLD if bold else PLAIN),
        parse_math=False,
    )
