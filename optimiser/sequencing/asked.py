"""What the user asks for, each under a literal named by its field of the case: so it can be left out, and blamed."""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

START_FIELD = "/rules/start"
ORDER_FIELD = "/rules/order"
HANDS_FIELD = "/crew/hands"
GEL_FIELD = "/process/gel_fraction_percent"
PAIRS_FIELD = "/rules/never_at_once"
GROUPS_FIELD = "/rules/together"
LATEST_FIELD = "/rules/latest"
"""Of these three each entry of the list is a field of its own."""


@dataclass(frozen=True)
class Asked:
    """Literals by field. Without a model there are none, and all that is asked for always holds."""

    model: cp_model.CpModel | None = None
    literals: dict[str, cp_model.IntVar] = field(default_factory=dict)

    @property
    def may_be_left_out(self) -> bool:
        return self.model is not None

    def by(self, path: str) -> tuple[cp_model.IntVar, ...]:
        """For `only_enforce_if` of a constraint that this field asks for."""
        if self.model is None:
            return ()
        if path not in self.literals:
            self.literals[path] = self.model.new_bool_var(path)
        return (self.literals[path],)
