"""The wet-out map: where resin is at which minute, and what stands where, without colour."""

from __future__ import annotations

from matplotlib.figure import Figure

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.drawing_files import HEIGHT_IN, WIDTH_IN, png_of, svg_of
from optimiser.run_sheet.headline import is_verified
from optimiser.run_sheet.map_marks import Marks
from optimiser.run_sheet.map_pieces import extent, lay_out, round_all
from optimiser.run_sheet.map_words import drawing_room, strike_out, write, write_round, write_tags


def wet_out_map_svg(plan: PlanDocument) -> str:
    """The map as one SVG document."""
    return svg_of(lambda: _figure(plan))


def wet_out_map_png(plan: PlanDocument) -> bytes:
    """The map as a PNG of the same layout."""
    return png_of(lambda: _figure(plan))


def _figure(plan: PlanDocument) -> Figure:
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    room = drawing_room(plan, WIDTH_IN, HEIGHT_IN)
    pieces = lay_out(extent(plan.map), room)
    marks, letters = Marks(plan, pieces), False
    for piece in pieces:
        box = piece.page_in
        place = (box.x0 / WIDTH_IN, box.y0 / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN)
        tags = marks.draw(figure.add_axes(place), piece)
        write(figure, piece.caption, box.x0, box.y1 + 0.05, size=9.5, bold=True, ha="left", va="bottom")
        write_tags(figure, tags, box.y1 + piece.above_in)
        letters = letters or bool(tags)
    write_round(figure, plan, letters=letters)
    if not is_verified(plan):
        strike_out(figure, round_all(pieces))
    return figure
