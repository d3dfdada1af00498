"""What a run, a plan and a start cost, with sizes and machine. Not collected by the tests: times are not asserted."""
