"""Gaps that the case names: drawn on the map, told in its key, and not said to be left out."""

from __future__ import annotations

import io
from itertools import groupby
from typing import Any

import numpy as np
from PIL import Image

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.headline import verdict_note
from optimiser.run_sheet.map_words import key_lines
from optimiser.run_sheet.wet_out_map import wet_out_map_png

GAP = {"name": "lower flange gap", "run_mm": [(200.0, 900.0), (12_000.0, 900.0)]}
KEY = "Thin double line"


def with_gap(fields: dict[str, Any]) -> PlanDocument:
    fields["map"]["race_tracks"] = [GAP]
    return PlanDocument.model_validate(fields)


def test_a_gap_is_a_double_line_on_the_map(fields: dict[str, Any]) -> None:
    """Across most of the page a cut from top to bottom meets one narrow white strip between two black lines more."""
    plain, drawn = (wet_out_map_png(plan) for plan in (PlanDocument.model_validate(fields), with_gap(fields)))
    assert _doubles(drawn) > _doubles(plain) + 0.5
    assert wet_out_map_png(with_gap(fields)) == drawn


def _doubles(png: bytes) -> float:
    """White strips of at most ten points between black ones, mean over cuts across the map."""
    pixels = np.asarray(Image.open(io.BytesIO(png)).convert("L")).astype(int)
    cuts = [pixels[:, x] for x in range(0, pixels.shape[1], 20)]
    return float(np.mean([_double(cut) for cut in cuts]))


def _double(cut: np.ndarray) -> int:
    shades = np.where(cut < 100, 0, np.where(cut > 200, 2, 1))
    strips = [(shade, len(list(same))) for shade, same in groupby(shades.tolist()) if shade != 1]
    return sum(
        one == other == 0 and shade == 2 and width <= 10
        for (one, _), (shade, width), (other, _) in zip(strips, strips[1:], strips[2:], strict=False)
    )


def test_the_key_has_an_entry_only_where_there_is_a_gap(fields: dict[str, Any]) -> None:
    """What is not on the map is not in its key."""
    assert not any(KEY in line for line in key_lines(PlanDocument.model_validate(fields)))
    assert any(KEY in line for line in key_lines(with_gap(fields)))


def test_the_head_does_not_call_named_gaps_left_out(fields: dict[str, Any]) -> None:
    """Others still are. A plan kept without the course of its gaps has resin in them all the same."""
    assert "race tracks" in verdict_note(PlanDocument.model_validate(fields))
    kept = {**fields, "resin": {**fields["resin"], "race_tracks_kg": 1.2}}
    for plan in (PlanDocument.model_validate(kept), with_gap(fields)):
        assert "race tracks" not in verdict_note(plan)
        assert "gaps that the case does not name" in verdict_note(plan)


def test_a_map_without_gaps_says_nothing_of_them(fields: dict[str, Any]) -> None:
    """So that plans of old cases stay as they were, to the byte."""
    assert "race_tracks" not in PlanDocument.model_validate(fields).map.model_dump_json()
