"""Looks at all that the service stands on, and changes nothing. One file for each family of checks."""
