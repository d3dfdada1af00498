"""All that is tried on the coarse network: by hand, by the zone graph, and changes of the best of both."""

from __future__ import annotations

from optimiser.plan.change_the_best import close_lines, leave_out_vents, open_groups_sooner
from optimiser.plan.choose import Chooser
from optimiser.plan.hand_made import across_vents, by_hand, moves_round
from optimiser.plan.result import GraphProof


def search(chooser: Chooser) -> GraphProof:
    """What the zone graph has proven; the candidates are the chooser's. Told of as the first three quarters."""
    shot, coarse = chooser.shot, chooser.scenes.coarse
    chooser.play(by_hand(shot), "sequences by hand", (0.02, 0.2))
    chooser.play(across_vents(shot, coarse, chooser.candidates), "sequences by hand", (0.2, 0.2))
    proof = chooser.run_rounds((0.2, 0.65))
    for best in (chooser.best(), chooser.best_by_sight()):
        chooser.play(moves_round(shot, coarse, best), "moves round the best", (0.65, 0.75))
    open_groups_sooner(chooser, "moves round the best", 0.75)
    close_lines(chooser, "closing lines", 0.75)
    leave_out_vents(chooser, "leaving out vents", 0.75)
    return proof
