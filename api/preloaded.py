"""What attempts need, imported once in the process from which they are forked."""

import api.engine.executor
import api.jobs.answer_case
import api.revalidation.answer_run  # noqa: F401
