"""Denials, hedges and exceptions, and where they end."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("scope"))
def test_what_is_denied_or_hedged(case: Case) -> None:
    case.check()
