"""Judges a draft: how grave each finding and reading is, by which rule, and what was never mentioned."""

from __future__ import annotations

from datetime import date

from witnessmark.assess.conditions import assess_finding
from witnessmark.assess.coverage import never_mentioned
from witnessmark.assess.readings import assess_reading
from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.limits import Rules
from witnessmark.types import Assessment, Draft, Finding, Reading, Verdict

__all__ = ["assess"]


def assess(draft: Draft, rules: Rules, card: MachineCard | None = None, on: date | None = None) -> Assessment:
    """Every finding and reading with its verdicts; pure, and no talk makes it raise.

    Args:
        draft: what was read from one talk.
        rules: of the country of use, from ``witnessmark.knowledge.limits.rules``.
        card: what the maker says of the machine, from ``witnessmark.knowledge.cards.card_for``.
        on: day of the inspection; without it the age of a tyre is not judged.
    """

    def verdicts(item: Finding | Reading) -> tuple[Verdict, ...]:
        if isinstance(item, Finding):
            return (assess_finding(item, rules),)
        return assess_reading(item, rules, card, on)

    return Assessment(
        draft=draft,
        verdicts=tuple(verdict for item in draft.findings for verdict in verdicts(item)),
        never_mentioned=never_mentioned(draft, card, rules.coverage),
    )
