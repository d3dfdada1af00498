"""What a key allows. Each scope includes those before it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Scope(StrEnum):
    READ = "read"
    """Look at everything but keys, webhooks and the audit."""
    SUBMIT = "submit"
    """Send in layouts and resins, have them planned, checked and judged again."""
    OPERATE = "operate"
    """Everything, keys, webhooks and the audit too."""


ALL_SCOPES = frozenset(Scope)


def with_lesser(scopes: Iterable[Scope]) -> frozenset[Scope]:
    """The scopes and all that they include."""
    in_order = tuple(Scope)
    return frozenset(lesser for scope in scopes for lesser in in_order[: in_order.index(scope) + 1])


def scopes_to_text(scopes: Iterable[Scope]) -> str:
    """As the store keeps them, in order and each once."""
    kept = frozenset(scopes)
    return ",".join(scope for scope in Scope if scope in kept)


def scopes_from_text(text: str) -> tuple[Scope, ...]:
    """A word that is no scope of this version allows nothing."""
    words = text.split(",")
    return tuple(scope for scope in Scope if scope in words)
