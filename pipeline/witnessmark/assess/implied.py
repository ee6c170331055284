"""Findings that the words of another one imply: oil from a fork leg that reaches the caliper."""

from __future__ import annotations

from witnessmark.assess.context import Context
from witnessmark.knowledge.severity import Implied
from witnessmark.types import Doubt, Draft, Finding, Reading

_CONFIDENCE = 0.5
"""Of an implied finding: nobody said it by itself."""


def with_implied(context: Context) -> Draft:
    """The draft with the implied findings, each just after the one whose words imply it."""
    draft, found = context.draft, list[Finding | Reading]()
    known = {(f.component, f.condition) for f in draft.findings if isinstance(f, Finding)}
    keys = {item.key for item in draft.items}
    for item in draft.findings:
        found.append(item)
        for row in context.rules.severity.implied:
            new = _follows(row, item, context)
            if new and new.key not in keys and (new.component, new.condition) not in known:
                found.append(new)
                known.add((new.component, new.condition))
    return draft if len(found) == len(draft.findings) else draft.model_copy(update={"findings": tuple(found)})


def _follows(row: Implied, item: Finding | Reading, context: Context) -> Finding | None:
    if not isinstance(item, Finding) or item.state not in ("present", "unsure"):
        return None
    concerns = item.component in row.component and item.condition in row.condition
    if not concerns or not context.says(item, row.said):
        return None
    place = ".".join(filter(None, (row.implies, row.end)))
    return Finding(
        key=f"{place}.{row.as_condition}.implied",
        component=row.implies,
        end=row.end,
        condition=row.as_condition,
        state=item.state,
        evidence=item.evidence,
        confidence=min(item.confidence, _CONFIDENCE),
        doubts=(Doubt(kind="implied", message=f"{row.says}."),),
        why=(row.id,),
    )
