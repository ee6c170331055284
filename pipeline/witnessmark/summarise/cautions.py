"""The cautions that what is on the page calls for."""

from __future__ import annotations

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import Facts
from witnessmark.summarise.page import Section
from witnessmark.types import Basis, Grade, Outcome, Reading


def cautions(words: PlainWords, outcome: Outcome, facts: Facts) -> Section[str]:
    """The rows of the caution table whose tag the page bears, in the order of the table."""
    tags = _tags(outcome, facts)
    law = _law(words, outcome.walkround.draft.jurisdiction)
    items = tuple(row.says.replace("{law}", law) for row in words.cautions if row.when in tags)
    head = words.sections["cautions"]
    return Section(id="cautions", heading=head.heading, holds=head.holds, items=items)


def _law(words: PlainWords, jurisdiction: str | None) -> str:
    """Whose law was used; a state that is not known goes by its country."""
    code = (jurisdiction or "").upper()
    name = words.countries.get(code) or words.countries.get(code.partition("-")[0])
    return words.law_of.format(country=name) if name else words.law_unknown


def _tags(outcome: Outcome, facts: Facts) -> set[str]:
    tags = {"always"} if outcome.complete else {"always", "unfinished"}
    for one in facts.judged:
        if one.unseen:
            continue
        tags.add(f"component:{one.item.component}")
        if isinstance(one.item, Reading):
            tags.add(f"{one.item.component}.{one.item.quantity}")
        for verdict in one.verdicts:
            if verdict.grade is not Grade.UNGRADED and verdict.basis is not Basis.NONE:
                tags |= {f"grade:{verdict.grade}", f"basis:{verdict.basis}", f"sureness:{verdict.sureness}"}
    return tags
