"""A hull side of the invented yard, generated from a published hull formula."""
