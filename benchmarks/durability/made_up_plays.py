"""Items of a run that are played in no time, each noted as it begins; some do harm."""

from __future__ import annotations

import os
import time
from collections import Counter
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from unittest.mock import patch

import api.jobs.child
from api.revalidation.items import Judged
from api.settings import Settings
from benchmarks.durability.poison import POISONS


@dataclass(frozen=True, kw_only=True)
class MadeUpPlays:
    """Stands in for the playing of one item; goes to other processes as it is."""

    noted_in: Path
    takes_s: float = 0.0
    poisons: dict[int, str] = field(default_factory=dict)
    """By number of the plan, the harm that playing it does."""

    def __call__(self, item: Any) -> Judged:
        number = number_of(item.facts)
        with self.noted_in.open("a") as notes:
            print(number, file=notes)
        time.sleep(self.takes_s)
        if number in self.poisons:
            POISONS[self.poisons[number]]()
        return Judged(answer="still_valid", decided_by="full_run", reason=f"made up in process {os.getpid()}")

    def counted(self) -> Counter[int]:
        """How often each plan was played, or begun to be."""
        return Counter(map(int, self.noted_in.read_text().split())) if self.noted_in.exists() else Counter()

    @property
    def attempt(self) -> partial[None]:
        """To stand in for `run_attempt`."""
        return partial(_run_attempt, self)


def number_of(facts: str) -> int:
    """Of the plan that they stand beside, as `keep_plans` numbers them."""
    return len(facts) - len(facts.rstrip())


def _run_attempt(plays: MadeUpPlays, settings: Settings, token: str, parent_pid: int) -> None:
    with patch("api.revalidation.answer_run._play", plays):
        api.jobs.child.run_attempt(settings, token, parent_pid)
