"""The command line: data on stdout, everything else on stderr, and an exit code that says what happened."""
