"""The diagram's order and sums, by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.desk.machines.pareto import LEFT, RIGHT, WIDTH, Cause, pareto

LONG = WIDTH - LEFT - RIGHT


def test_bars_by_count_with_the_share_that_they_make_up_together() -> None:
    found = pareto([Cause("mirror: loose", 2), Cause("chain: dry", 5), Cause("horn: not working", 1)])
    assert found is not None
    assert [(bar.name, bar.times) for bar in found.bars] == [
        ("chain: dry", 5),
        ("mirror: loose", 2),
        ("horn: not working", 1),
    ]
    assert [bar.together for bar in found.bars] == [62.5, 87.5, 100]
    assert [bar.length for bar in found.bars] == [LONG * 5 / 8, LONG / 4, LONG / 8]
    assert found.says == "Most often: chain: dry, 5 of 8."


def test_the_first_bar_ends_where_the_line_begins() -> None:
    """Juran's form: the count's scale ends at the total, so that both scales meet (from memory)."""
    found = pareto([Cause("a", 3), Cause("b", 1)])
    assert found is not None
    assert found.bars[0].x == LEFT + found.bars[0].length
    assert found.bars[-1].x == WIDTH - RIGHT
    assert found.counts[-1].text == "4"


def test_the_rare_ones_share_the_last_bar_however_many_they_are() -> None:
    found = pareto([Cause(f"c{n}", 1) for n in range(20)], shown=5)
    assert found is not None
    assert [bar.rest for bar in found.bars] == [False] * 5 + [True]
    assert (found.bars[-1].times, found.bars[-1].name) == (15, "15 others, each rarer")


def test_one_more_than_shown_gets_a_bar_and_not_a_rest_of_one() -> None:
    found = pareto([Cause(f"c{n}", 1) for n in range(6)], shown=5)
    assert found is not None
    assert not any(bar.rest for bar in found.bars)


def test_where_nothing_was_found_there_is_no_diagram() -> None:
    assert pareto([]) is None
    assert pareto([Cause("chain: dry", 0)]) is None


@given(st.lists(st.integers(1, 1000), min_size=1, max_size=40))
def test_the_shares_end_at_a_hundred_and_never_fall(counts: list[int]) -> None:
    found = pareto([Cause(str(n), count) for n, count in enumerate(counts)])
    assert found is not None
    sums = [bar.together for bar in found.bars]
    assert sums[-1] == pytest.approx(100)
    assert sums == sorted(sums)
    assert sum(bar.times for bar in found.bars) == sum(counts)
    lengths = [bar.length for bar in found.bars if not bar.rest]
    assert lengths == sorted(lengths, reverse=True)
