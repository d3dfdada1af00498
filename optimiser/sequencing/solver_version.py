"""Which solver chose: part of every plan."""

from importlib.metadata import version

SOLVER_VERSION = f"ortools {version('ortools')}"
