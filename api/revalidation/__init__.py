"""Stored sequences judged again after a change: which ones, how each was decided, what came of it."""
