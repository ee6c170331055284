"""What is not a finding, and where a statement begins again."""

from __future__ import annotations

import pytest

from .reading import Case, cases


@pytest.mark.parametrize("case", cases("clauses"))
def test_what_is_a_statement(case: Case) -> None:
    case.check()
