"""Reduce, simulate, choose, verify, repeat: from a shot to a sequence that the network has seen through."""
