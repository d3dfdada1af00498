"""Every file of a sweep, by name."""

from __future__ import annotations

from optimiser.sweep.as_csv import render_csv
from optimiser.sweep.page import render_html
from optimiser.sweep.plot import plot_png, plot_svg
from optimiser.sweep.sweep_document import SweepDocument


def rendered(sweep: SweepDocument) -> dict[str, bytes]:
    """Content by file name. The sweep itself comes last, so that it is the last to be put in place."""
    return {
        "sweep.html": render_html(sweep).encode(),
        "sweep.csv": render_csv(sweep),
        "sweep.svg": plot_svg(sweep).encode(),
        "sweep.png": plot_png(sweep),
        "sweep.json": (sweep.model_dump_json(indent=2) + "\n").encode(),
    }
