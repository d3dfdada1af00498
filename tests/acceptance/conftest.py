"""The demo cases as a person meets them: planned or checked once for all tests, at the command line, with all files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner

from api.cli.main import app
from benchmarks.pages import AS_PLANNED
from cases import demo_case_path
from optimiser.case.plan_document import PlanDocument
from optimiser.case.proof_document import CandidateResult


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What the command line gave back."""

    exit_code: int
    said: str
    folder: Path
    plan: PlanDocument

    def candidate(self, name: str) -> CandidateResult:
        (found,) = [one for one in self.plan.candidates if one.name == name]
        return found

    @property
    def chosen(self) -> CandidateResult:
        """The admissible candidate that the plan's wet-out is of; in a plan that is too late, the fastest clean one."""
        return next(one for one in self.plan.candidates if one.admissible and one.wet_out_s == self.plan.wet_out_s)


class Demos:
    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._answers: dict[str, Answer] = {}

    def plan(self, name: str) -> Answer:
        if name not in self._answers:
            self._answers[name] = self._run(f"{name}-plan", "plan", name)
        return self._answers[name]

    def check(self, name: str, sequence: Path) -> Answer:
        folder = f"{name}-{sequence.stem}-check"
        if folder not in self._answers:
            self._answers[folder] = self._run(folder, "check", name, str(sequence))
        return self._answers[folder]

    def as_planned(self, name: str) -> Answer:
        """A check of the order that the page of a demo names, where planning it takes minutes."""
        return self.check(name, demo_case_path(name).with_name(AS_PLANNED))

    def _run(self, folder_name: str, *words: str) -> Answer:
        folder = self._folder / folder_name
        ended = CliRunner().invoke(app, [*words, "--out", str(folder)])
        assert ended.exit_code in (0, 3), ended.output
        plan = PlanDocument.model_validate_json((folder / "plan.json").read_text(encoding="utf-8"))
        return Answer(exit_code=ended.exit_code, said=ended.stdout, folder=folder, plan=plan)


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Demos:
    return Demos(tmp_path_factory.mktemp("demos"))
