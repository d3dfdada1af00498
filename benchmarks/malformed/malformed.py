"""The malformed request of a number: the same number, the same request."""

from __future__ import annotations

import random
from collections.abc import Sequence

from benchmarks.malformed import broken_text, nonsense
from benchmarks.malformed.changed_data import changed, with_all_texts
from benchmarks.malformed.odd_heads import odd_head
from benchmarks.malformed.originals import Original
from benchmarks.malformed.sent import Sent
from benchmarks.malformed.too_much import too_much


def malformed(number: int, originals: Sequence[Original], port: int) -> Sent:
    """`port`: where somebody listens who must hear nothing."""
    dice = random.Random(number)
    original = dice.choice(originals)
    if dice.randrange(100) == 0:
        return _sent("too much", original, too_much(dice), is_yaml=False, data=None)
    match dice.randrange(10):
        case 0 | 1:
            return odd_head(dice, port)
        case 2 | 3:
            return _broken(original, dice)
        case 4:
            text = dice.choice((*nonsense.PATHS, *nonsense.urls(port)))
            return _whole("paths and addresses", original, with_all_texts(dict(original.data), text), dice)
        case _:
            return _whole("changed data", original, changed(dict(original.data), dice, port), dice)


def _whole(what: str, original: Original, data: object, dice: random.Random) -> Sent:
    is_yaml = original.is_text and dice.random() < 0.5
    body = broken_text.as_yaml(data) if is_yaml else broken_text.as_json(data)
    return _sent(what, original, body, is_yaml=is_yaml, data=data if original.is_text else None)


def _broken(original: Original, dice: random.Random) -> Sent:
    is_yaml = original.is_text and dice.random() < 0.5
    text = broken_text.as_yaml(original.data) if is_yaml else broken_text.as_json(original.data)
    return _sent("broken text", original, broken_text.broken(text, dice), is_yaml=is_yaml, data=None)


def _sent(what: str, original: Original, body: bytes, *, is_yaml: bool, data: object) -> Sent:
    media_type = "application/yaml" if is_yaml else "application/json"
    headers = (("Content-Type", media_type), *original.headers.items())
    return Sent(what=what, method=original.method, target=original.path, headers=headers, body=body, data=data)
