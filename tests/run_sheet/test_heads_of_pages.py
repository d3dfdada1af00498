"""What stands over the tap table on each page, and figures that stand in two places."""

from __future__ import annotations

import io
from typing import Any

from pypdf import PdfReader

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.headline import clock_facts, latest_first_tap, latest_first_tap_note
from optimiser.run_sheet.html import render_html
from optimiser.run_sheet.pdf import render_pdf
from optimiser.run_sheet.what_ifs import what_ifs

COLUMNS, GOES_ON = "Expected (range)", "taps and vents, continued"


def pages_of(plan: PlanDocument) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(render_pdf(plan))).pages]


def test_a_table_goes_on_only_where_it_has_begun(fields: dict[str, Any]) -> None:
    """The page of step 1 is no continuation, the next is one; no names of columns stand over a page without a step."""
    fields["warnings"] = ["Watch the patch round the thruster: it is late and it is thick. " * 7] * 3
    pages = pages_of(PlanDocument.model_validate(fields))
    first = next(n for n, text in enumerate(pages) if "START: At the start" in text)
    assert first == 1, "page one is full"
    assert GOES_ON not in pages[first]
    assert GOES_ON in pages[first + 1]
    for text in pages:
        assert (COLUMNS in text) == ("STEP 1 " in text or any(f"STEP {n} " in text for n in range(2, 18)))


def test_the_latest_minute_is_one_number_everywhere(fields: dict[str, Any]) -> None:
    """3588 s are 59.8 min: 59 on page one, at the CALL, and in the sum, which says what rounding takes: 63 min less
    59.8 are 3.2, so 3 min; 63 less 59 less 1. By hand."""
    plan = PlanDocument.model_validate(fields | {"spread_wet_out_s": (2_340.0, 3_588.0)})
    assert clock_facts(plan)[1].note.endswith("range 39–59")
    assert any(one.happens == "Not all wet at min 59" for one in what_ifs(plan))
    assert "+ 3 min = ____:____, 3 min OLD" in latest_first_tap(plan)
    assert "63 min less 59 min to all wet in the slow case and 1 min that rounding hides" in latest_first_tap_note(plan)
    even = PlanDocument.model_validate(fields | {"spread_wet_out_s": (2_340.0, 3_540.0)})
    assert "rounding" not in latest_first_tap_note(even), "59 min to the second"


def test_the_latest_minute_is_never_sooner_than_all_wet_is_expected(fields: dict[str, Any]) -> None:
    """253 s are 4.217 min: expected 4.3, rounded up. A slow case of 254 s, 4.233 min, is not called at 4.2, and the
    first tap is as late as 63 min less 4.3 leave. By hand."""
    short = fields | {"wet_out_s": 253.0, "spread_wet_out_s": (240.0, 254.0)}
    plan = PlanDocument.model_validate(short)
    assert clock_facts(plan)[1].value == "min 4.3"
    assert clock_facts(plan)[1].note.endswith("range 4.0–4.3")
    assert any(one.happens == "Not all wet at min 4.3" for one in what_ifs(plan))
    assert "63.0 min less 4.3 min to all wet" in latest_first_tap_note(plan)
    assert "+ 58 min = ____:____" in latest_first_tap(plan)


def test_the_sum_of_the_latest_first_tap_comes_out_as_printed(fields: dict[str, Any]) -> None:
    """63 min less 24.2 are 38.8, and less the 25 that are printed 38: no more than 38 on paper. By hand."""
    alike = fields | {"wet_out_s": 1_452.0, "spread_wet_out_s": (1_452.0, 1_452.0), "gel_limit_s": 3_792.0}
    plan = PlanDocument.model_validate(alike)
    assert "range" not in clock_facts(plan)[1].note, "nothing is spread"
    assert "63 min less 25 min to all wet in the slow case." in latest_first_tap_note(plan)
    assert "+ 38 min = ____:____" in latest_first_tap(plan), "63.2 less 24.2 are 39"


def test_the_checks_of_bag_and_pot_say_in_which_order(plan: PlanDocument) -> None:
    """The bag is cut off before the pump stops; the pot is read in litres and emptied at once; a mould near the dew
    point is asked about. Common practice, no source."""
    planned = {one.what: one for one in checks(plan)}
    assert "Drop test: valve to the pump SHUT, then pump off" in planned
    (pot,) = [one for what, one in planned.items() if what.startswith("Went into the flush pot")]
    assert pot.blank == "l"
    assert "litres at the mark x 1.08 = kg" in pot.planned, "1080 kg/m3"
    assert "EMPTIED right after the last bleeding, so NOW: FLUSH VALVE and its line to the pump SHUT" in pot.planned
    assert "At least 3 °C above it, else CALL." in planned["Mould warmer than the dew point"].planned
    assert "CALL ten minutes before STOP TIME." in render_html(plan)
