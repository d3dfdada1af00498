"""Labels on taps and vents, and the rules that speak of them."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import replace
from itertools import pairwise

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_sequence import faults_of_sequence
from optimiser.case.check_tap_rules import tap_rule_faults
from optimiser.case.check_vent_lines import vent_line_faults
from optimiser.case.document_shape import LABEL_MOST_CHARACTERS
from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.sequence_document import sequence_of
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault
from optimiser.part.part import LineUse

_ORDERS = frozenset({"open", "close", "shut", "clamp", "stop", "start", "call", "wait"})
_LOOK_ALIKE = str.maketrans("01i", "oll")
"""Nought and O; one, I and l."""


def label_faults(document: CaseDocument) -> Iterator[Fault]:
    """Labels too long for a tap, given twice, or missing where a line has several sections."""
    seen: dict[str, str] = {}
    for path, label in _labels(document):
        if label is None:
            yield Fault(path=path, found="nothing", expected="a name for each section of a divided line")
            continue
        if len(label) > LABEL_MOST_CHARACTERS:
            yield Fault(
                path=path,
                found=f"the label {say_found(label)} of {len(label)} characters",
                expected=f"LINE-SECTION in at most {LABEL_MOST_CHARACTERS} characters, to be read on a tap",
            )
        earlier = seen.setdefault(label.casefold(), path)
        if earlier != path:
            yield Fault(
                path=path,
                found=f"the label {say_found(label)}, which {earlier} has too",
                expected="a label of its own on each tap and vent, told apart by more than capitals",
            )


def misread_labels(document: CaseDocument) -> Iterator[str]:
    """Warnings for labels that a tired eye takes for another, or for an order of the sheet."""
    seen: dict[str, str] = {}
    for _path, label in _labels(document):
        if label is None:
            continue
        if label.casefold() in _ORDERS:
            yield f"the label {say_found(label)} is an order on the run sheet too; give that tap or vent another name"
        alike = seen.setdefault(label.casefold().translate(_LOOK_ALIKE), label)
        if alike != label:
            yield f"the labels {say_found(alike)} and {say_found(label)} look alike on a tap; rename one of them"


def rule_faults(document: CaseDocument) -> Iterator[Fault]:
    """Rules about unknown, forbidden or repeated labels, or that contradict each other."""
    lines = line_uses(document)
    on_line = {vent.name: vent.on_line for vent in document.vents}
    for rule, labels in (("start", document.rules.start), ("order", document.rules.order)):
        for place, label in enumerate(labels):
            path = pointer("rules", rule, place)
            if label not in lines:
                yield unknown_name(path, label, lines, noun="feed line")
            elif lines[label] is LineUse.FORBIDDEN:
                yield Fault(path=path, found=f"forbidden {say_found(label)}", expected="a line that may open")
            elif label in labels[:place]:
                yield Fault(path=path, found=f"{say_found(label)} a second time", expected="each label once")
    yield from _order_faults(document)
    yield from tap_rule_faults(document, lines)
    yield from vent_line_faults(document, lines)
    if document.rules.own_sequence is not None:
        own = sequence_of(document.rules.own_sequence)
        for fault in faults_of_sequence(own, lines=lines, on_line=on_line):
            yield replace(fault, path=pointer("rules", "own_sequence") + fault.path)


def line_uses(document: CaseDocument) -> dict[str, LineUse]:
    """What each tap's label may be used for."""
    return {
        line.label_of(section): LineUse(line.use) for line in document.feed_lines for section in line.sections
    }


def _labels(document: CaseDocument) -> Iterator[tuple[str, str | None]]:
    """Where each label stands, and the label; None for a section that needs a name and has none."""
    for i, line in enumerate(document.feed_lines):
        for j, section in enumerate(line.sections):
            path = pointer("feed_lines", i, "sections", j, "name")
            if section.name is None and len(line.sections) > 1:
                yield path, None
            else:
                yield path if section.name else pointer("feed_lines", i, "name"), line.label_of(section)
    yield from ((pointer("vents", i, "name"), vent.name) for i, vent in enumerate(document.vents))


def _order_faults(document: CaseDocument) -> Iterator[Fault]:
    start: Set[str] = set(document.rules.start)
    for place, (before, label) in enumerate(pairwise(document.rules.order), start=1):
        if start and label in start and before not in start:
            yield Fault(
                path=pointer("rules", "order", place),
                found=f"{say_found(label)} after {say_found(before)}",
                expected="the lines of rules/start before all others",
            )
