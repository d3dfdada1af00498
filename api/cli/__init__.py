"""The command line: data on stdout, everything else on stderr, and an exit code that says what happened.

Commands import the planner, the drawing and the service when they run, not before: help answers at once, and
the processes that the service starts do not load what they will not use.
"""
