"""Who confirmed what and when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.page import Section
from witnessmark.summarise.words import and_list, isolated, written
from witnessmark.types import Decision, Outcome

MACHINE = "machine"
"""Item key of the machine's identity in a decision."""


def people(words: PlainWords, outcome: Outcome, made_on: date | None) -> Section[str]:
    """One sentence for the inspection, one for each reviewer, one for the page."""
    speaker, on = outcome.walkround.speaker, written(words, outcome.walkround.on)
    inspected = words.phrases["inspected" if speaker else "inspected_by_whom"]
    lines = [inspected.format(who=isolated(speaker), date=on)]
    by_who: dict[str, list[Decision]] = {}
    for decision in _deciding(outcome):
        by_who.setdefault(decision.who, []).append(decision)
    lines += [_line(words, who, decisions) for who, decisions in by_who.items()]
    if not by_who:
        lines.append(words.phrases["nobody"])
    if made_on:
        lines.append(words.phrases["made"].format(date=written(words, made_on)))
    head = words.sections["people"]
    return Section(id="people", heading=head.heading, holds=head.holds, items=tuple(lines))


def _deciding(outcome: Outcome) -> Iterable[Decision]:
    """The decisions that stand, the machine's among them."""
    stands = [entry.decision for entry in outcome.confirmed] + [entry.decision for entry in outcome.rejected]
    yield from (decision for decision in stands if decision.item != MACHINE)
    if outcome.machine:
        trail = [decision for decision in outcome.walkround.decisions if decision.item == MACHINE]
        yield from trail[-1:]


def _line(words: PlainWords, who: str, decisions: list[Decision]) -> str:
    days = sorted(decision.when.date() for decision in decisions)
    counts = Counter("machine" if decision.item == MACHINE else str(decision.kind) for decision in decisions)
    order = [key for key in ("confirm", "correct", "add", "reject", "machine") if counts[key]]
    told = [words.phrases[f"count_{key}"].format(n=counts[key]) for key in order]
    sentence = words.phrases["by" if days[0] == days[-1] else "by_span"]
    span = {"date": written(words, days[0]), "until": written(words, days[-1])}
    return sentence.format(who=isolated(who), counts=and_list(words, told), **span)
