"""Which component is meant."""

from __future__ import annotations

import pytest

from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import expand
from witnessmark.knowledge.vocabulary import vocabulary

from .reading import Case, cases, lines_of


@pytest.mark.parametrize("case", cases("parts"))
def test_the_most_exact_part_is_named(case: Case) -> None:
    case.check()


@pytest.mark.parametrize("component", vocabulary().components)
def test_every_name_of_a_part_names_it(component: str) -> None:
    rows = [row for row in lexicon().rows if (row.family, row.id) == ("part", component)]
    said = [f"The {' '.join(words)} is cracked." for row in rows for p in row.phrases for words in expand(p)]
    assert said
    assert {s for s in said if {line.split()[0] for line in lines_of(s)} != {component}} == set()


@pytest.mark.parametrize("component", vocabulary().components)
def test_only_parts_that_exist_at_both_ends_take_one(component: str) -> None:
    """A part that the machine has once is at no end, whatever was said before."""
    info = vocabulary().components[component]
    name = " ".join(
        next(
            w
            for r in lexicon().rows
            if r.id == component and r.family == "part"
            for w in expand(r.phrases[0])
        )
    )
    ends = {
        line.split()[1]
        for line in lines_of(f"Back end. {name} is cracked.")
        if line.startswith(f"{component} ")
    }
    assert ends == {"rear" if info.takes_end else "-"}
