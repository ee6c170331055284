"""Work that was done, and work that is wanted."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("work"))
def test_the_work(case: Case) -> None:
    case.check()
