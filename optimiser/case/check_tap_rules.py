"""Rules of pairs, groups and latest times, and where the taps are turned: known labels, and no rule against another."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import combinations

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault
from optimiser.part.part import LineUse


def tap_rule_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    yield from _pair_faults(document, lines)
    yield from _group_faults(document, lines)
    yield from _latest_faults(document, lines)
    yield from _crew_faults(document, lines)


def _pair_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    rules = document.rules
    for place, pair in enumerate(rules.never_at_once):
        path = pointer("rules", "never_at_once", place)
        yield from _label_faults(path, pair, lines)
        if set(pair) <= set(rules.start):
            yield Fault(path=path, found=_names(pair), expected="not both in rules/start: these open at the same time")


def _group_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    rules, seen = document.rules, set[str]()
    for place, group in enumerate(rules.together):
        path = pointer("rules", "together", place)
        yield from _label_faults(path, group, lines)
        twice = seen.intersection(group)
        if twice:
            yield Fault(path=path, found=f"{_names(sorted(twice))} in two groups", expected="each label in one group")
        seen.update(group)
        if rules.start and set(group) & set(rules.start) and not set(group) <= set(rules.start):
            yield Fault(path=path, found=_names(group), expected="all of the group in rules/start, or none of it")
        if len({lines.get(label) is LineUse.FORBIDDEN for label in group}) > 1:
            yield Fault(path=path, found=_names(group), expected="all of a group forbidden, or none of it")
        for pair in combinations(group, 2):
            if any({*pair} == {*apart} for apart in rules.never_at_once):
                yield Fault(path=path, found=_names(pair), expected="not two lines of rules/never_at_once")


def _latest_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    seen: set[str] = set()
    for place, one in enumerate(document.rules.latest):
        path = pointer("rules", "latest", place, "label")
        yield from _label_faults(path, (one.label,), lines)
        if one.label in seen:
            yield Fault(path=path, found=f"{say_found(one.label)} a second time", expected="each label once")
        seen.add(one.label)


def _crew_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    known = {*lines, *(vent.name for vent in document.vents)}
    names, seen = [place.name for place in document.crew.manifolds], set[str]()
    for i, place in enumerate(document.crew.manifolds):
        if place.name in names[:i]:
            path = pointer("crew", "manifolds", i, "name")
            yield Fault(path=path, found=f"{say_found(place.name)} a second time", expected="a name of its own")
        for k, label in enumerate(place.labels):
            path = pointer("crew", "manifolds", i, "labels", k)
            if label not in known:
                yield unknown_name(path, label, known, noun="label")
            elif label in seen:
                yield Fault(path=path, found=f"{say_found(label)} a second time", expected="each tap at one manifold")
            seen.add(label)
    yield from _walk_faults(document, names)


def _walk_faults(document: CaseDocument, names: list[str]) -> Iterator[Fault]:
    seen: set[frozenset[str]] = set()
    for i, walk in enumerate(document.crew.walks):
        path = pointer("crew", "walks", i, "between")
        for k, name in enumerate(walk.between):
            if name not in names:
                yield unknown_name(pointer("crew", "walks", i, "between", k), name, names, noun="manifold")
        ways = frozenset(walk.between)
        if len(ways) < 2 or ways in seen:
            yield Fault(path=path, found=_names(walk.between), expected="two manifolds, each pair once")
        seen.add(ways)
    missing = [pair for pair in combinations(dict.fromkeys(names), 2) if frozenset(pair) not in seen]
    if missing:
        yield Fault(
            path=pointer("crew", "walks"),
            found=f"no walk between {_names(missing[0])}",
            expected="the walk between every two manifolds, in seconds",
        )


def _label_faults(path: str, labels: Collection[str], lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    for label in labels:
        if label not in lines:
            yield unknown_name(path, label, lines, noun="feed line")
    if len(set(labels)) < len(labels):
        yield Fault(path=path, found=_names(labels), expected="each label once")


def _names(labels: Collection[str]) -> str:
    return " and ".join(say_found(label) for label in labels)
