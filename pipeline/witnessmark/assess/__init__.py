"""Judges a draft: how grave each finding and reading is, by which rule, and what was never mentioned."""

from __future__ import annotations

from datetime import date

from witnessmark.assess.conditions import assess_finding
from witnessmark.assess.context import Context
from witnessmark.assess.coverage import never_mentioned
from witnessmark.assess.identity import assess_machine
from witnessmark.assess.implied import with_implied
from witnessmark.assess.readings import assess_reading
from witnessmark.assess.together import together
from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.limits import Rules
from witnessmark.types import Assessment, Draft, Finding, Reading, Verdict

__all__ = ["assess"]


def assess(draft: Draft, rules: Rules, card: MachineCard | None = None, on: date | None = None) -> Assessment:
    """Every finding and reading with its verdicts; pure, and no talk makes it raise.

    A finding that the words of another imply is added to the draft, with a doubt that says so. Verdicts on
    the machine's identity have the item ``machine``.

    Args:
        draft: what was read from one talk.
        rules: of the country of use, from ``witnessmark.knowledge.limits.rules``.
        card: what the maker says of the machine, from ``witnessmark.knowledge.cards.card_for``.
        on: day of the inspection; without it the age of a tyre is not judged.
    """
    context = Context(with_implied(Context(draft, rules, card, on)), rules, card, on)

    def verdicts(item: Finding | Reading) -> tuple[Verdict, ...]:
        if isinstance(item, Finding):
            return (assess_finding(item, context),)
        return assess_reading(item, context)

    judged = tuple(verdict for item in context.draft.findings for verdict in verdicts(item))
    return Assessment(
        draft=context.draft,
        verdicts=(*judged, *assess_machine(draft.machine, rules, on)),
        together=together(context, judged),
        never_mentioned=never_mentioned(draft, card, rules.coverage),
    )
