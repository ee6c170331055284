"""Drafts of gold walkrounds, held against floors a little under what is reached (``-s`` prints the table).

The gold files in ``own/`` are in twelve groups, by as many authors. Extraction was developed on
all of them; docs/accuracy.md has what each scored before it was opened.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from .score import drafted, table
from .scoring import KINDS, Row, Score, gold_files, total

OWN = Path(__file__).parent / "own"
BESIDE = sorted(Path(__file__).parents[2].glob("../*/walkrounds/*.json"))
"""Gold walkrounds in a folder next to this one, where this machine has some."""


class Floor(NamedTuple):
    """The least that a group may score; the safety misses are a ceiling."""

    observations: tuple[float, float]
    """Precision, recall."""
    readings: tuple[float, float]
    actions: tuple[float, float]
    limits: float
    header: float
    safety: int


FLOORS = {
    "a": Floor((0.95, 0.92), (0.95, 0.96), (0.94, 0.93), 0.98, 0.98, 1),
    "b": Floor((0.92, 0.91), (0.98, 0.97), (0.95, 0.92), 0.98, 0.98, 0),
    "c": Floor((0.94, 0.91), (0.96, 0.94), (0.94, 0.91), 0.95, 0.98, 0),
    "d": Floor((0.95, 0.95), (0.96, 0.97), (0.96, 0.95), 0.98, 0.98, 0),
    "e": Floor((0.96, 0.97), (0.98, 0.98), (0.96, 0.98), 0.98, 0.98, 0),
    "f": Floor((0.95, 0.96), (0.96, 0.96), (0.96, 0.94), 0.98, 0.98, 0),
    "g": Floor((0.92, 0.93), (0.94, 0.93), (0.90, 0.85), 0.98, 0.96, 0),
    "h": Floor((0.87, 0.89), (0.94, 0.96), (0.86, 0.91), 0.98, 0.95, 0),
    "i": Floor((0.97, 0.97), (0.97, 0.96), (0.98, 0.96), 0.95, 0.98, 0),
    "j": Floor((0.99, 0.99), (0.99, 0.99), (0.97, 0.96), 0.98, 0.98, 0),
    "k": Floor((0.96, 0.96), (0.98, 0.96), (0.94, 0.89), 0.97, 0.98, 0),
    "l": Floor((0.97, 0.97), (0.97, 0.96), (0.98, 0.97), 0.97, 0.98, 0),
}
NEXT_DOOR = Floor((0.96, 0.95), (0.98, 0.95), (0.97, 0.96), 0.98, 0.98, 0)


@cache
def scored(group: str) -> Score:
    return total(map(drafted, gold_files(OWN, group)))


def check(score: Score, floor: Floor) -> None:
    for kind in KINDS:
        tally, (precision, recall) = score.tallies[kind], getattr(floor, kind)
        assert tally.precision >= precision, kind
        assert tally.recall >= recall, kind
    assert score.limits.recall >= floor.limits
    assert score.machine.recall >= floor.header
    assert len(score.safety) <= floor.safety, score.safety


@pytest.mark.parametrize("group", FLOORS)
def test_a_group_keeps_its_floor(group: str) -> None:
    score = scored(group)
    print(f"\n{table({group: score})}")
    assert score.walkrounds
    check(score, FLOORS[group])


def test_every_gold_file_belongs_to_a_group() -> None:
    assert {row["id"].split("-")[0] for row in gold_files(OWN)} == set(FLOORS)


GOLD = gold_files(OWN)


@pytest.mark.parametrize("gold", GOLD, ids=lambda gold: gold["id"])
def test_gold_files_use_known_ids(gold: Row) -> None:
    """Every row of the gold is one that a draft could hold."""
    from witnessmark.knowledge.vocabulary import vocabulary
    from witnessmark.types import Action, Draft, Finding, Machine, Reading

    known = vocabulary()
    findings = [(Reading if "quantity" in row else Finding).model_validate(row) for row in gold["findings"]]
    actions = [Action.model_validate(row) for row in gold["actions"]]
    Draft(id=gold["id"], text=gold["text"], machine=Machine.model_validate(gold["machine"]))
    assert {item.component for item in (*findings, *actions)} <= set(known.components)
    assert {f.condition for f in findings if isinstance(f, Finding)} <= {None, *known.conditions}
    assert {f.quantity for f in findings if isinstance(f, Reading)} <= set(known.quantities)
    assert {a.kind for a in actions} <= set(known.actions)
    ends = [item.place for item in (*findings, *actions) if item.end]
    assert [place for place in ends if not known.components[place[0]].takes_end] == []


@pytest.mark.full
@pytest.mark.skipif(not BESIDE, reason="no gold walkrounds next to this folder")
def test_gold_walkrounds_next_door_keep_their_floor() -> None:
    score = total(map(drafted, gold_files(BESIDE[0].parent)))
    print(f"\n{table({'next door': score})}")
    check(score, NEXT_DOOR)
