"""`tapcall schema` and `tapcall demos`: what can be sent in, described and by example."""

from __future__ import annotations

import json

from api.cli.exits import Debug, ending_well
from cases import demo_case_names, demo_case_path


def schema(debug: Debug = False) -> None:
    """Print the JSON Schema of a case.

    Example: tapcall schema > case.schema.json
    """
    with ending_well(debug=debug):
        from optimiser.case.schema import case_schema

        print(json.dumps(case_schema(), indent=2), flush=True)


def demos(debug: Debug = False) -> None:
    """List the demo cases: name and file.

    Example: tapcall demos
    """
    with ending_well(debug=debug):
        for name in demo_case_names():
            print(f"{name}\t{demo_case_path(name)}", flush=True)
