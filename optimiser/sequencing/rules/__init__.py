"""The rules of the shop and of physics on the zone graph: one function each, its inequality in the docstring."""
