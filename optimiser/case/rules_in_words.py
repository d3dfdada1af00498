"""The rules of the shop in words, one for each."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.process_document import RulesDocument


def rules_in_words(rules: RulesDocument) -> Iterator[str]:
    if rules.start:
        yield f"start {', '.join(rules.start)}"
    if rules.order:
        yield f"order {', '.join(rules.order)}"
    yield from (f"never at once {' and '.join(pair)}" for pair in rules.never_at_once)
    yield from (f"together {', '.join(group)}" for group in rules.together)
    yield from (f"{row.label} by min {row.latest_min:g}" for row in rules.latest)
    if rules.own_sequence is not None:
        yield "a sequence of the shop's own"
