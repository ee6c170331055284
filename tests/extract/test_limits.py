"""Limits and specifications said with a reading."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("limits"))
def test_the_limit_belongs_to_its_reading(case: Case) -> None:
    case.check()
