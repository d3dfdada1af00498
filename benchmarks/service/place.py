"""Where the figures are taken: folders, the full store, and how much of each is asked for."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass
from pathlib import Path

from benchmarks.service.filled_store import Sizes, filled_store

_LAYOUT_BYTES, _PLAN_BYTES = 20_000, 110_000
"""As the demo hull and the plan of the demo panel have them."""


@dataclass(frozen=True, kw_only=True)
class Place:
    """Each figure has a folder of its own, but for those that need the full store."""

    numbers: Namespace
    """How many of what."""
    folder: Path
    full: Path
    """The folder of the full store."""

    @property
    def sizes(self) -> Sizes:
        return Sizes(
            layouts=self.numbers.layouts,
            jobs=self.numbers.jobs,
            plans=self.numbers.plans,
            layout_bytes=_LAYOUT_BYTES,
            plan_bytes=_PLAN_BYTES,
        )

    def full_store(self) -> Path:
        """Filled now, unless it was filled before."""
        filled_store(self.full, self.sizes)
        return self.full

    def empty(self, name: str) -> Path:
        """A folder without a store."""
        folder = self.folder / name
        folder.mkdir()
        return folder
