"""The graded parts of the page: before you ride, soon, keep an eye on, also noted."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.knowledge.drawings import drawings
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import Facts, Judged, Sorted, applies, by_place
from witnessmark.summarise.page import Entry, Line, Section
from witnessmark.summarise.told import advice, is_trouble, leads_to, told
from witnessmark.summarise.words import GRADES, Spot, and_list, capital, name_of, rule_text, unique
from witnessmark.types import Action, Grade, Item

SECTION_OF = {
    Grade.DANGEROUS: "before",
    Grade.MAJOR: "before",
    Grade.MINOR: "soon",
    Grade.ADVISORY: "watch",
}
GRADED = ("before", "soon", "watch", "noted")

Drawn = tuple[str, Spot, Entry]
"""Component, place and an entry that has no part's name yet."""


def graded_sections(words: PlainWords, facts: Facts, piles: Sorted) -> tuple[Section[Entry], ...]:
    """The four sections, gravest first; empty ones have no items."""
    drawn: dict[str, list[Drawn]] = {key: [] for key in GRADED}
    for ones in by_place(piles.graded).values():
        entry = _entry(words, facts, piles, ones)
        drawn[SECTION_OF[Grade(entry.grade)]].append((ones[0].item.component, _spot(ones[0].item), entry))
    drawn["noted"] = _noted(words, facts, piles)
    return tuple(
        Section(id=key, heading=row.heading, holds=row.holds, items=tuple(_merged(words, drawn[key])))
        for key in GRADED
        if (row := words.sections[key])
    )


def _spot(item: Item) -> Spot:
    return item.end, item.side


def _entry(words: PlainWords, facts: Facts, piles: Sorted, ones: list[Judged]) -> Entry:
    """One place with all that is graded on it, under its gravest grade."""
    ones = sorted(ones, key=lambda one: GRADES.index(one.grade))
    gravest, item = ones[0].grade, ones[0].item
    advised = advice(words, (action for action in facts.actions if applies(words, action, item)))
    return Entry(
        part="",
        grade=gravest,
        label=words.grades[gravest].label,
        purpose=words.part(item.component).purpose,
        found=tuple(_line(words, one, gravest) for one in ones),
        leads=unique(leads_to(words, one) for one in ones),
        advised=advised or _default_advice(words, gravest),
        otherwise=_otherwise(words, piles, item),
        rules=unique(rule_text(words, one.verdict) for one in ones if one.verdict),
    )


def _line(words: PlainWords, one: Judged, gravest: Grade) -> Line:
    label = words.grades[one.grade].label if one.grade is not gravest else ""
    return Line(text=capital(told(words, one)), label=label)


def _default_advice(words: PlainWords, grade: Grade) -> tuple[str, ...]:
    """What stands in when the technician advised nothing."""
    watch = words.pick(words.actions["monitor"].wanted, "")
    asks = {"before": "ask_before", "soon": "ask_soon"}
    return (capital(watch if grade is Grade.ADVISORY else words.phrases[asks[SECTION_OF[grade]]]),)


def _otherwise(words: PlainWords, piles: Sorted, item: Item) -> str:
    good = [told(words, one) for one in piles.in_order if one.item.place == item.place and one.favourable]
    return capital(and_list(words, unique(good)))


def _noted(words: PlainWords, facts: Facts, piles: Sorted) -> list[Drawn]:
    """Ungraded items by place, then work wanted where nothing was found."""
    drawn: list[Drawn] = []
    orphans = orphan_actions(words, facts, piles)
    for ones in by_place(piles.noted).values():
        item = ones[0].item
        here = [action for action in orphans if applies(words, action, item)]
        orphans = [action for action in orphans if action not in here]
        drawn.append((item.component, _spot(item), _noted_entry(words, piles, ones, here)))
    for action in orphans:
        entry = Entry(
            part="", purpose=words.part(action.component).purpose, advised=advice(words, [action]),
            otherwise=_otherwise(words, piles, action),
        )  # fmt: skip
        drawn.append((action.component, _spot(action), entry))
    return drawn


def _noted_entry(words: PlainWords, piles: Sorted, ones: list[Judged], here: list[Action]) -> Entry:
    trouble = any(is_trouble(words, one) for one in ones) or bool(here)
    item = ones[0].item
    return Entry(
        part="",
        purpose=words.part(item.component).purpose if trouble else "",
        found=tuple(Line(text=capital(told(words, one))) for one in ones),
        leads=unique(leads_to(words, one) for one in ones if is_trouble(words, one)),
        advised=advice(words, here) or ((capital(words.phrases["ask"]),) if trouble else ()),
        otherwise=_otherwise(words, piles, item) if trouble else "",
    )


def orphan_actions(words: PlainWords, facts: Facts, piles: Sorted) -> list[Action]:
    """Work wanted at places with no graded entry."""
    return [
        action
        for action in facts.actions
        if action.status == "wanted" and not any(applies(words, action, one.item) for one in piles.graded)
    ]


def _merged(words: PlainWords, drawn: Iterable[Drawn]) -> list[Entry]:
    """Entries that differ only in their place become one; gravest first."""
    same: dict[tuple[str, Entry], list[Spot]] = {}
    for component, spot, entry in drawn:
        same.setdefault((component, entry), []).append(spot)
    named = [_named(words, component, entry, spots) for (component, entry), spots in same.items()]
    return sorted(named, key=lambda entry: GRADES.index(Grade(entry.grade)) if entry.grade else 0)


def _named(words: PlainWords, component: str, entry: Entry, spots: list[Spot]) -> Entry:
    part = capital(name_of(words, component, spots))
    return entry.model_copy(update={"part": part, "places": _places(component, spots)})


def _places(component: str, spots: list[Spot]) -> tuple[str, ...]:
    """Where on the drawing they are."""
    return unique(place for end, _ in spots for place in drawings().places_of(component, end))
