"""What the server of forks imports once, so that each process forked from it begins in milliseconds."""

from __future__ import annotations

import api.jobs.answer_case
import api.revalidation.answer_run
import api.serve  # noqa: F401
import benchmarks.durability.holder  # noqa: F401
