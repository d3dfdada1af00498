"""What a plan says of a bag that gives: thickness, fibre by volume, the resin it takes and bleeds."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import case_from_mapping
from optimiser.errors import InputError
from optimiser.run_sheet.contents import contents_of
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.thickness_map import has_thickness_map, held_words, thickness_map_png, thickness_map_svg

LAW = {"stiffening_exponent": 0.1, "least_fibre_volume_percent": 30}
TAPS = ("1", "2", "3")


def data_with(panels: Any, law: dict[str, Any] | None) -> dict[str, Any]:
    data: dict[str, Any] = panels.data()
    data["laminates"]["sandwich"] |= {"compaction": law}
    return data


@pytest.fixture(scope="module")
def plans(panels: Any) -> dict[str, PlanDocument]:
    """One sequence, played under a rigid bag and under one that gives."""
    sequence = panels.sequence(panels.outward(TAPS, ("2",)))
    cases = {"rigid": data_with(panels, None), "gives": data_with(panels, LAW)}
    return {name: check_sequence_of_case(case_from_mapping(data), sequence) for name, data in cases.items()}


def test_a_rigid_plan_says_nothing_of_it(plans: dict[str, PlanDocument]) -> None:
    """Neither in the document nor on the sheet."""
    text = plans["rigid"].model_dump_json()
    assert not any(word in text for word in ('"thickness', "fibre_volume_percent", "swollen"))
    assert not any("Thickness" in line for line in contents_of(plans["rigid"]).after)


def test_fibre_is_kept_and_what_grew_is_resin(plans: dict[str, PlanDocument]) -> None:
    """Four plies of 600 g/m2 at 2560 kg/m3: Vf times the plies' thickness is the fibre of them (volumes added).

    Digits: thickness is told to 1e-3 mm, the fraction to 1e-2 %.
    """
    plan = plans["gives"]
    (area,) = plan.thickness
    fibre_mm = 4 * 0.6 / 2560 * 1e3
    plies_mm = fibre_mm / 0.52
    assert area.held_fibre_volume_percent == pytest.approx(52.0)
    for thick_mm, percent in zip(area.wet_mm, reversed(area.wet_fibre_volume_percent), strict=True):
        grown_mm = thick_mm - area.held_mm
        assert grown_mm >= 0
        assert percent / 100 * (plies_mm + grown_mm) == pytest.approx(fibre_mm, rel=1e-3)
    assert area.wet_mm[0] < area.wet_mm[1] < area.wet_mm[2]
    bled_kg = (area.wet_mm[1] - area.held_mm) * 1e-3 * 1.2 * 0.9 * 1080
    assert area.bleeds_kg == pytest.approx(bled_kg, rel=2e-3)
    assert plan.resin.swollen_kg == pytest.approx(area.bleeds_kg)


def test_resin_drawn_is_what_lies_in_it_and_is_bought(plans: dict[str, PlanDocument]) -> None:
    """By use, without the reserve: no less than the run drew, and more than under a rigid bag."""
    for plan in plans.values():
        resin = plan.resin
        bought_kg = resin.total_kg - resin.reserve_kg
        manifold_kg = 0.5 * 1.08
        assert plan.consumption.drawn_kg[-1] + manifold_kg <= bought_kg * 1.001
    assert plans["gives"].resin.total_kg > plans["rigid"].resin.total_kg
    assert plans["gives"].consumption.drawn_kg[-1] > plans["rigid"].consumption.drawn_kg[-1]


def test_zones_and_sheet_say_it_too(plans: dict[str, PlanDocument]) -> None:
    """Each zone within what its area shows; one line on the sheet."""
    plan = plans["gives"]
    (area,) = plan.thickness
    for zone in plan.zones:
        assert zone.thickness_mm is not None
        assert area.wet_mm[0] <= zone.thickness_mm <= area.wet_mm[2]
    (line,) = [line for line in contents_of(plan).after if "Thickness" in line]
    assert f"{area.wet_mm[1]:.1f} mm when all is wet" in line


def test_each_cell_is_told_for_the_drawing(plans: dict[str, PlanDocument]) -> None:
    """Least, mean by area and most over the cells are those of their one area; fibre goes against thickness.

    Thickness to the hundredth of a millimetre and the tenth of a per cent that are kept.
    """
    plan = plans["gives"]
    (area,) = plan.thickness
    assert plan.map.wet_thickness_mm is not None
    assert plan.map.wet_fibre_volume_percent is not None
    thick_mm, percent = np.array(plan.map.wet_thickness_mm), np.array(plan.map.wet_fibre_volume_percent)
    assert len(thick_mm) == len(percent) == len(plan.map.wet_s)
    assert (thick_mm.min(), thick_mm.max()) == pytest.approx((area.wet_mm[0], area.wet_mm[2]), abs=0.006)
    assert (percent.min(), percent.max()) == pytest.approx(
        (area.wet_fibre_volume_percent[0], area.wet_fibre_volume_percent[2]), abs=0.06
    )
    assert np.all(np.diff(percent[np.argsort(thick_mm)]) <= 0.35)
    line_y_mm = next(run.run_mm[0][1] for run in plan.map.runs if run.label == "2")
    beside = np.abs(np.array(plan.map.y_mm) - line_y_mm) < 100
    assert thick_mm[beside].mean() > thick_mm.mean()


def test_a_patch_that_does_not_give_has_no_thickness_on_the_drawing(panels: Any) -> None:
    """Its cells are None; those round it are told."""
    data = data_with(panels, LAW)
    data["laminates"]["rigid"] = {**data["laminates"]["sandwich"], "compaction": None}
    border = [[400, 300], [800, 300], [800, 600], [400, 600]]
    data["areas"].append({"name": "doubler", "laminate": "rigid", "border_mm": border})
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(TAPS, ("2",))))
    assert plan.map.wet_thickness_mm is not None
    inside = [450 < x < 750 and 350 < y < 550 for x, y in zip(plan.map.x_mm, plan.map.y_mm, strict=True)]
    assert any(inside)
    assert all(mm is None for mm, within in zip(plan.map.wet_thickness_mm, inside, strict=True) if within)
    assert any(mm is not None for mm in plan.map.wet_thickness_mm)
    assert thickness_map_svg(plan)


def test_the_drawing_stands_on_the_sheet_where_the_bag_gives(plans: dict[str, PlanDocument]) -> None:
    """A page more, in greys, the same every time; after the hold in words. A rigid plan has none."""
    gives, rigid = plans["gives"], plans["rigid"]
    assert has_thickness_map(gives)
    assert not has_thickness_map(rigid)
    assert thickness_map_svg(gives) == thickness_map_svg(gives)
    pixels = np.asarray(Image.open(io.BytesIO(thickness_map_png(gives))).convert("RGB")).astype(int)
    assert (np.ptp(pixels, axis=2) == 0).all()
    (area,) = gives.thickness
    assert held_words(gives.thickness) == f"{area.name} {area.held_mm:.2f} mm, fibre 52 %"
    assert 'aria-label="Thickness map"' in render_html(gives)
    assert 'aria-label="Thickness map"' not in render_html(rigid)
    across = [
        [page for page in PdfReader(io.BytesIO(render_pdf(plan))).pages if page.mediabox.width > page.mediabox.height]
        for plan in (gives, rigid)
    ]
    assert [len(pages) for pages in across] == [2, 1]


def test_the_stated_pressure_scales_the_dry_stack(panels: Any) -> None:
    """Stated at half the dry pressure, the plies are denser dry by 2^B (the power law)."""
    data = data_with(panels, {**LAW, "stated_at_mbar": (1013 - 25) / 2})
    case = case_from_mapping(data)
    assert case.shot.part.areas[0].laminate.plies.fibre_fraction == pytest.approx(0.52 * 2**0.1)
    assert not any("stated_at_mbar" in one.path for one in case.assumptions)
    silent = case_from_mapping(data_with(panels, LAW))
    (told,) = [one for one in silent.assumptions if "stated_at_mbar" in one.path]
    assert told.value == "988 mbar"


def test_a_floor_above_the_stated_content_is_refused(panels: Any) -> None:
    """By field, with what would be right."""
    with pytest.raises(InputError) as caught:
        case_from_mapping(data_with(panels, {**LAW, "least_fibre_volume_percent": 60}))
    (fault,) = caught.value.faults
    assert fault.path == "/laminates/sandwich/compaction/least_fibre_volume_percent"
    assert "52 %" in fault.expected
