"""The part as a network: nodes with pore volume, links with conductance."""
