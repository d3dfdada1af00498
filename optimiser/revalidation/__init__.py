"""Whether a stored plan still holds after a change: by look-up where that is exact, else by its own runs again."""
