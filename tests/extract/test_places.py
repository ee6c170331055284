"""Where on the machine: ends, sides, pairs, headings, repetition."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("places"))
def test_where_it_is(case: Case) -> None:
    case.check()
