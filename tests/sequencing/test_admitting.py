"""What the network has shown to be clean, the graph lets pass; and it forgets nothing else for it."""

from __future__ import annotations

from typing import Any

import numpy as np

from optimiser.sequencing.admit import admitting
from optimiser.sequencing.verify import violations
from optimiser.sequencing.zone_problem import ZoneProblem

GRAPHS = 150
SHOWN = 4
"""Openings taken as shown on each graph."""

GRAPH_S_OWN = ("does not drain", "does not wait")
"""Ends of violations that rest on the graph's own guesses; the other rules are the user's and stay."""


def shown_openings(graphs: Any, problem: ZoneProblem, seed: int) -> np.ndarray:
    """Openings by chance that wet the whole part, whether or not they drain on the graph."""
    every = graphs.referee.every_opening(problem)
    wetting = every[(graphs.referee.wet(problem, every) <= problem.horizon).all(axis=1)]
    if len(wetting) == 0:
        return wetting
    return wetting[np.random.default_rng(seed).integers(len(wetting), size=SHOWN)]


def opened(row: np.ndarray) -> dict[int, int]:
    return {line: tick for line, tick in enumerate(row.tolist()) if tick >= 0}


def test_every_way_that_was_admissible_still_is(graphs: Any) -> None:
    """Of all ways to open the lines none is lost: the problem never gets stricter."""
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        every = graphs.referee.every_opening(problem)
        kept = every[graphs.referee.admissible(problem, every)]
        for row in shown_openings(graphs, problem, seed):
            assert graphs.referee.admissible(admitting(problem, opened(row)), kept).all(), (seed, row)


def test_what_was_shown_is_admitted(graphs: Any) -> None:
    """The shown openings drain and have waited long enough; only the user's own rules may still refuse them."""
    relaxed = 0
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        for row in shown_openings(graphs, problem, seed):
            admitted = admitting(problem, opened(row))
            choice = graphs.choice(admitted, tuple(None if tick < 0 else tick for tick in row.tolist()))
            before = [told for told in violations(problem, choice) if not _graph_s_own(told)]
            assert violations(admitted, choice) == before, (seed, row)
            relaxed += admitted != problem
    assert relaxed > GRAPHS


def _graph_s_own(told: str) -> bool:
    return any(words in told for words in GRAPH_S_OWN)


def test_openings_that_need_no_favour_change_nothing_but_waits(graphs: Any) -> None:
    """A way that keeps every rule leaves margins and vents as they are."""
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        every = graphs.referee.every_opening(problem)
        for row in every[graphs.referee.admissible(problem, every)][:3]:
            admitted = admitting(problem, opened(row))
            assert (admitted.neighbours, admitted.vented) == (problem.neighbours, problem.vented)


def test_openings_that_leave_a_zone_dry_teach_nothing(graphs: Any) -> None:
    """No openings at all, and openings that never wet a zone, leave the problem as it is."""
    for seed in range(GRAPHS):
        problem = graphs.random_problem(seed)
        assert admitting(problem, {}) is problem
        dry = [line for line, row in enumerate(problem.arrival) if -1 in row]
        if dry:
            assert admitting(problem, {dry[0]: 0}) is problem
