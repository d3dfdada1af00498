"""The moving front on the network: one step, the whole fill, what gets locked, and the clock of fluidity."""
