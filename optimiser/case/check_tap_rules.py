"""Rules of pairs, groups and latest times, and where the taps are turned: known labels, and no rule against another."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
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
        yield from _member_faults(path, pair, lines)
        if len(set(pair)) > 1 and set(pair) <= set(rules.start):
            yield Fault(path=path, found=_names(pair), expected="not both in rules/start: these open at the same time")


def _group_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    rules, seen = document.rules, set[str]()
    for place, group in enumerate(rules.together):
        path = pointer("rules", "together", place)
        yield from _member_faults(path, group, lines)
        for k, label in enumerate(group):
            if label in seen:
                found = f"{say_found(label)}, which is in a group before it"
                yield Fault(path=f"{path}/{k}", found=found, expected="each label in one group")
        seen.update(group)
        first, later = ([label for label in group if (label in rules.start) is there] for there in (True, False))
        if first and later:
            found = f"{_names(first)} in rules/start without {_names(later)}"
            yield Fault(path=path, found=found, expected="all of the group in rules/start, or none of it")
        shut = [k for k, label in enumerate(group) if lines.get(label) is LineUse.FORBIDDEN]
        for k in shut if len(shut) < len(group) else ():
            expected = "a line that may open, or all of its group forbidden"
            yield Fault(path=f"{path}/{k}", found=f"forbidden {say_found(group[k])}", expected=expected)
        for pair in combinations(dict.fromkeys(group), 2):
            if any({*pair} == {*apart} for apart in rules.never_at_once):
                yield Fault(path=path, found=_names(pair), expected="not two lines of rules/never_at_once")


def _latest_faults(document: CaseDocument, lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    seen: set[str] = set()
    for place, one in enumerate(document.rules.latest):
        path = pointer("rules", "latest", place, "label")
        if one.label not in lines:
            yield unknown_name(path, one.label, lines, noun="feed line")
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


def _member_faults(path: str, labels: Sequence[str], lines: Mapping[str, LineUse]) -> Iterator[Fault]:
    """Each at its place in the pair or group."""
    for k, label in enumerate(labels):
        if label not in lines:
            yield unknown_name(f"{path}/{k}", label, lines, noun="feed line")
        elif label in labels[:k]:
            yield Fault(path=f"{path}/{k}", found=f"{say_found(label)} a second time", expected="each label once")


def _names(labels: Collection[str]) -> str:
    return " and ".join(say_found(label) for label in labels)
