"""Tells other programs what became of a job: signed, tried again until it is taken, never lost with the job."""
