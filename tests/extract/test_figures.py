"""Readings: quantity, value, unit, as found and as left."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("figures"))
def test_the_reading(case: Case) -> None:
    case.check()
