"""The laws of `optimiser/physics` held against tests/check_values, as a page with plots for a reader."""
