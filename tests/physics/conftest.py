"""Hands the rows of a file in tests/check_values to each test that asks for one."""

from __future__ import annotations

import pytest

from benchmarks.checks.rows import families, rows_of


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "check_values: the test takes each row of tests/check_values in turn")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if metafunc.definition.get_closest_marker("check_values") is not None:
        metafunc.parametrize("row", [row for family in families() for row in rows_of(family)], ids=str)
