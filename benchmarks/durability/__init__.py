"""Durability, tested by doing it: processes killed, clocks turned, stores taken away, and what is left looked at."""
