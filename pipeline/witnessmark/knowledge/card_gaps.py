"""What a handbook gives for a machine and its card has not."""

from __future__ import annotations

from typing import NamedTuple

from witnessmark.knowledge.card_checks import places
from witnessmark.knowledge.card_rules import Fact, Wanted, WantedWork, card_rules
from witnessmark.knowledge.cards import CardFigure, MachineCard, Marking
from witnessmark.knowledge.coverage import coverage
from witnessmark.types import End


def built_of(card: MachineCard) -> set[str]:
    """Ids of the alternatives of the machine: the card's, and the usual one where it does not say."""
    built = dict(card.built)
    for way in coverage().alternatives:
        built.setdefault(way.choice, way.id)
    return set(built.values())


class Gap(NamedTuple):
    """What a handbook gives and a card has not, at one end where the part has two."""

    row: Fact | Wanted | WantedWork
    end: End | None = None


def not_filled_in(card: MachineCard) -> tuple[Gap, ...]:
    """What a handbook gives for a machine built so and the card has not."""
    rules, built = card_rules(), built_of(card)
    facts = [row for row in rules.facts if not row.when or built & set(row.when)]
    gaps = [Gap(row) for row in facts if getattr(card, row.id) is None]
    for wanted in rules.wanted:
        ends = places(wanted.component, built)
        gaps += [Gap(wanted, end) for end in ends if not _has(card, wanted, end)]
    works = {(row.component, row.work) for row in card.intervals}
    gaps += [
        Gap(row)
        for row in rules.work
        if (row.component, row.work) not in works and places(row.component, built)
    ]
    return tuple(gaps)


def _has(card: MachineCard, wanted: Wanted, end: End | None) -> bool:
    rows: tuple[CardFigure | Marking, ...] = card.markings if wanted.kind == "marking" else card.figures
    return any(
        (row.component, row.quantity) == (wanted.component, wanted.quantity)
        and getattr(row, "laden", False) == wanted.laden
        and row.end in (None, end)
        for row in rows
    )
