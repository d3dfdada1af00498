"""Small changes of a case that has no admissible sequence, each tried by planning with it."""
