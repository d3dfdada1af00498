"""What was understood of a case, as tables of plain text."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator, Sequence
from io import StringIO

from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimiser.case.planning import ReadBack
from optimiser.case.read_back import AreaShown, LineShown, VentShown

_LEAST_WIDTH = 140
"""Of a page that is not a terminal; a narrower terminal wraps within the columns."""


def readback_text(understood: ReadBack) -> str:
    page = Console(
        file=StringIO(), width=max(_LEAST_WIDTH, shutil.get_terminal_size().columns), color_system=None
    )
    with page.capture() as text:
        for title, part in _parts(understood):
            page.print(Text(title))
            page.print(part)
            page.print()
    return "\n".join(line.rstrip() for line in text.get().splitlines())


def _parts(understood: ReadBack) -> Iterator[tuple[str, Table]]:
    yield understood.name, _table((), _facts(understood))
    yield "As stated", _table((), understood.stated)
    yield "Areas", _table(_AREA_HEADS, map(_area, understood.areas))
    yield "Feed lines", _table(_LINE_HEADS, map(_line, understood.lines))
    yield "Vents", _table(_VENT_HEADS, map(_vent, understood.vents))
    yield "Resin by use, kg", _table((), _resin(understood))
    yield "Warnings", _table((), [(warning,) for warning in understood.warnings] or [("none",)])
    assumed = [(each.path, each.value, each.why) for each in understood.assumptions]
    yield "Assumed, because the case does not say", _table((), assumed or [("nothing",)])


def _facts(understood: ReadBack) -> Iterator[tuple[str, str]]:
    yield "Supply", understood.supply
    yield "Heights of the part", f"{understood.lowest_mm:g} to {understood.highest_mm:g} mm, as entered"
    yield "Driving pressure", f"{understood.driving_pressure_mbar:.0f} mbar"
    yield (
        "Viscosity",
        f"{understood.viscosity_mpa_s:.0f} mPa s fresh, {understood.viscosity_at_gel_limit_mpa_s:.0f} mPa s taken at "
        "the gel limit",
    )
    yield (
        "Gel time",
        f"{understood.gel_time_min:.1f} min; wet-out may take {understood.gel_limit_min:.1f} min from "
        f"{understood.gel_limit_counts_from}",
    )
    yield "Network", f"{understood.cells} cells in {understood.zones} zones"


_VENT_HEADS = (*("label", "length mm", "bore mm", "hose mm", "hose bore mm", "hose joins"), "catch pot l", "use")
_AREA_HEADS = (
    *("area", "laminate", "m2", "thick mm", "fibre g/m2", "pores %"),
    *("K along m2", "K across m2", "along deg", "resin kg/m2"),
)


def _area(area: AreaShown) -> tuple[str, ...]:
    return (
        area.name,
        area.laminate,
        f"{area.area_m2:.2f}",
        f"{area.thickness_mm:.2f}",
        f"{area.areal_weight_g_m2:.0f}",
        f"{area.porosity_percent:.0f}",
        f"{area.permeability_along_m2:.2e}",
        f"{area.permeability_across_m2:.2e}",
        f"{area.easiest_direction_deg:.0f}",
        f"{area.resin_kg_per_m2:.2f}",
    )


_LINE_HEADS = (
    *("tap", "length mm", "bore mm", "hose mm", "hose bore mm", "hose joins"),
    *("use", "beside it", "far end %"),
)


def _line(line: LineShown) -> tuple[str, ...]:
    return (
        line.label,
        f"{line.length_mm:.0f}",
        f"{line.bore_mm:g}",
        f"{line.hose_mm:.0f}",
        f"{line.hose_bore_mm:g}",
        line.hose_joins,
        line.use,
        "; ".join(line.beside),
        f"{line.far_end_percent:.0f}",
    )


def _vent(vent: VentShown) -> tuple[str, ...]:
    return (
        vent.label,
        f"{vent.length_mm:.0f}",
        f"{vent.bore_mm:g}",
        f"{vent.hose_mm:.0f}",
        "not stated" if vent.hose_bore_mm is None else f"{vent.hose_bore_mm:g}",
        "not stated" if vent.hose_joins is None else vent.hose_joins,
        f"{vent.catch_pot_litres:g}",
        vent.use,
    )


def _resin(understood: ReadBack) -> Iterator[tuple[str, str]]:
    for field, amount in understood.resin.model_dump().items():
        if field.endswith("_kg"):
            yield field.removesuffix("_kg").replace("_", " "), f"{amount:.2f}"
    for name, count in (("mixes", understood.resin.mixes), ("drums", understood.resin.drums)):
        if count is not None:
            yield name, f"{count} or more"
    yield "not in these", f"{', '.join(understood.resin.only_a_run_tells)}: only a run tells"


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    """Cells are text as it stands: a name in brackets is a name."""
    table = Table(*heads, box=None, show_header=bool(heads), pad_edge=False, padding=(0, 2, 0, 0))
    for row in rows:
        table.add_row(*map(Text, row))
    return table
