"""Corrections: only the last word counts."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("repairs"))
def test_the_last_word_counts(case: Case) -> None:
    case.check()
