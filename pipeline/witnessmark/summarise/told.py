"""Single items in plain words: what was found, what it can lead to, what is advised."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import Judged
from witnessmark.summarise.limits import limit_of, standing_of
from witnessmark.summarise.words import capital, limit_beside, reading_text, unique
from witnessmark.types import Action, Finding, Reading, Verdict


def told(words: PlainWords, one: Judged) -> str:
    """What was found: ``leaking``, ``thickness 0.9 mm, which is below the legal limit (at least 1 mm)``."""
    item = one.item
    text = observed(words, item) if isinstance(item, Finding) else measured(words, one, item)
    return words.phrases["corrected"].format(found=text) if one.changed else text


def observed(words: PlainWords, finding: Finding) -> str:
    """A finding in words; hedged where the technician was."""
    row = words.conditions.get(finding.condition or "")
    if row is None:
        return (finding.condition or words.paper.values["not_seen"]).replace("_", " ")
    phrase = row.none if finding.state == "absent" else row.found
    text = words.pick(phrase, finding.component)
    return words.phrases["unsure"].format(found=text) if finding.state == "unsure" else text


def measured(words: PlainWords, one: Judged, reading: Reading) -> str:
    """A reading in words, with the limit it was held against."""
    value = valued(words, reading)
    deciding = [_held_against(words, reading, one.verdict)] if one.verdict else []
    against = [_held_against(words, reading, verdict) for verdict in one.dissenting]
    return ", ".join(unique((value, *deciding, *against)))


def valued(words: PlainWords, reading: Reading) -> str:
    """``tread depth 4.2 mm``, ``slack 30 mm as left``, ``fault code: P0118``."""
    colon = ":" if isinstance(reading.value, str) else ""
    left = f" {words.phrases['as_left']}" if reading.phase == "left" else ""
    return f"{quantity_name(words, reading)}{colon} {reading_text(words, reading)}{left}"


def _held_against(words: PlainWords, reading: Reading, verdict: Verdict) -> str:
    """``which is below the legal limit (at least 1 mm)``; nothing without a limit."""
    limit = limit_of(reading, verdict)
    where = standing_of(reading, verdict)
    if limit is None or where == "no_limit":
        return ""
    beside = limit_beside(words, verdict.limit or limit, verdict.unit or reading.unit, reading.unit)
    whose = f"{words.bases[verdict.basis].limit} ({beside})"
    return words.phrases[where].format(limit=whose)


def quantity_name(words: PlainWords, reading: Reading) -> str:
    """``tread depth``; the id spelt out when the vocabulary no longer has it."""
    row = words.quantities.get(reading.quantity)
    return row.name if row else reading.quantity.replace("_", " ")


def leads_to(words: PlainWords, one: Judged) -> str:
    """What an item can lead to, or nothing."""
    item = one.item
    if one.favourable:
        return ""
    if isinstance(item, Finding):
        condition = words.conditions.get(item.condition or "")
        return words.pick(condition.leads, item.component) if condition else ""
    row = words.quantities.get(item.quantity)
    if row is None:
        return ""
    near = words.pick(getattr(row, _direction(one, item)), item.component)
    return near or words.pick(row.other, item.component)


def _direction(one: Judged, reading: Reading) -> str:
    """Which side of a limit is the near one."""
    where, limit = standing_of(reading, one.verdict), limit_of(reading, one.verdict)
    if where in ("below", "above"):
        return "low" if where == "below" else "high"
    if limit is None or (limit.low is None) == (limit.high is None):
        return "other"
    return "high" if limit.low is None else "low"


def is_trouble(words: PlainWords, one: Judged) -> bool:
    """Whether an ungraded item asks for attention by itself: a defect, a fault code, a figure that
    a reviewer changed or that one of two rules finds fault with."""
    if isinstance(one.item, Finding):
        return not one.favourable
    row = words.quantities.get(one.item.quantity)
    return one.changed or bool(one.dissenting) or bool(row and row.fault)


def advice(words: PlainWords, actions: Iterable[Action]) -> tuple[str, ...]:
    """Work wanted, in words."""
    return unique(
        capital(words.pick(row.wanted, action.component))
        for action in actions
        if action.status == "wanted" and (row := words.actions.get(action.kind))
    )
