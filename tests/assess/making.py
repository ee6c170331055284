"""Short ways to make what the tests judge."""

from __future__ import annotations

from typing import Any

from witnessmark.assess import assess
from witnessmark.knowledge.cards import MachineCard, cards
from witnessmark.knowledge.limits import rules
from witnessmark.types import Action, Draft, Evidence, Finding, Grade, Reading, Verdict

PASSING = (Grade.SOUND, Grade.ADVISORY)
LARKSPUR = cards()[0]


def machine(**facts: Any) -> MachineCard:
    """A card without figures: only what limits depend on."""
    return LARKSPUR.model_copy(update={"figures": (), "markings": (), **facts})


def heard(text: str) -> tuple[Evidence, ...]:
    return (Evidence(text=text, char_start=0, char_end=len(text)),) if text else ()


def draft(*items: Finding | Reading | Action) -> Draft:
    found = tuple(item for item in items if not isinstance(item, Action))
    done = tuple(item for item in items if isinstance(item, Action))
    return Draft(id="d", text="", findings=found, actions=done)


def judged(
    item: Finding | Reading, country: str | None, card: MachineCard | None = None, on: Any = None
) -> tuple[Verdict, ...]:
    """All verdicts on one item, the deciding one first."""
    return assess(draft(item), rules(country), card, on).verdicts


def of_reading(
    country: str | None,
    component: str,
    quantity: str,
    value: float | str,
    unit: str | None = None,
    *,
    card: MachineCard | None = None,
    on: Any = None,
    words: str = "",
    **more: Any,
) -> Verdict:
    """The deciding verdict on a reading."""
    item = Reading(
        key="k", component=component, quantity=quantity, value=value, unit=unit, evidence=heard(words), **more
    )
    return judged(item, country, card, on)[0]


def of_finding(
    country: str | None, component: str, condition: str | None, words: str = "", **more: Any
) -> Verdict:
    """The verdict on a finding, present unless said otherwise."""
    more.setdefault("state", "present")
    return judged(
        Finding(key="k", component=component, condition=condition, evidence=heard(words), **more), country
    )[0]
