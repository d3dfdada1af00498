"""Frozen nouns: what lies in the mould and what is done to it. SI inside, one line of meaning per field."""
