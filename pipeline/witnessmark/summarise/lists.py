"""The plain lists: in order, could not be seen, never mentioned, mentioned but not confirmed."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.knowledge.coverage import ENDS, SIDES, coverage
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.entries import orphan_actions
from witnessmark.summarise.judged import Facts, Judged, Sorted, by_place, left_of
from witnessmark.summarise.page import Area, Named, Section
from witnessmark.summarise.told import is_trouble, told, valued
from witnessmark.summarise.words import Spot, capital, name_of, unique
from witnessmark.types import End, Finding, Item, Machine, Outcome, Reading, Side


def in_order(words: PlainWords, facts: Facts, piles: Sorted) -> Section[Area]:
    """What was looked at and nothing was wrong, by area; places with trouble tell theirs there."""
    elsewhere = _spoken_for(words, facts, piles)
    here = [one for one in piles.in_order if _listed(facts, one, elsewhere)]
    same: dict[tuple[str, str], list[Spot]] = {}
    for ones in by_place(here).values():
        item = ones[0].item
        same.setdefault((item.component, _detail(words, ones)), []).append((item.end, item.side))
    named = [
        (component, Named(part=capital(name_of(words, component, spots)), detail=detail))
        for (component, detail), spots in same.items()
    ]
    return _by_area(words, "in_order", named)


def _spoken_for(words: PlainWords, facts: Facts, piles: Sorted) -> set[object]:
    troubled = [one.item for one in (*piles.graded, *(one for one in piles.noted if is_trouble(words, one)))]
    return {item.place for item in (*troubled, *orphan_actions(words, facts, piles))}


def _listed(facts: Facts, one: Judged, elsewhere: set[object]) -> bool:
    """Readings around work stand under the work, kind words on a troubled part stand with its trouble."""
    item = one.item
    if isinstance(item, Reading):
        return item.phase == "found" and not left_of(facts, item)
    return item.place not in elsewhere


def _detail(words: PlainWords, ones: list[Judged]) -> str:
    """What was looked for or measured; a bare "in order" goes without saying under this heading."""
    return ", ".join(unique(_noticed(words, one) for one in ones if not _bare(one.item)))


def _noticed(words: PlainWords, one: Judged) -> str:
    """The limits of readings stand in their table."""
    return valued(words, one.item) if isinstance(one.item, Reading) else told(words, one)


def _bare(item: Item) -> bool:
    return isinstance(item, Finding) and item.condition == "sound"


def _by_area(words: PlainWords, section: str, named: Iterable[tuple[str, Named]]) -> Section[Area]:
    """Areas in the order in which they first come up."""
    areas: dict[str, list[Named]] = {}
    for component, part in named:
        areas.setdefault(words.areas[words.group_of(component)], []).append(part)
    head = words.sections[section]
    items = tuple(Area(heading=heading, parts=tuple(parts)) for heading, parts in areas.items())
    return Section(id=section, heading=head.heading, holds=head.holds, items=items)


def never_mentioned(words: PlainWords, facts: Facts, never: Iterable[str]) -> Section[Area]:
    """Gaps as given (gravest first) less those that a reviewer has since spoken for.

    A gap is a component id, or one with a place: ``brake_pads:rear``, ``mirror:left``,
    ``indicator:rear left``.
    """
    named = [
        (component, Named(part=capital(_gap_name(words, component, spots))))
        for component, spots in _missing(words, facts, never)
    ]
    return _by_area(words, "never", named)


def gravest_gaps(words: PlainWords, facts: Facts, never: Iterable[str]) -> tuple[str, ...]:
    """Names of the parts never mentioned whose failure is gravest, in the order of the gaps."""
    grave = {row.id for row in coverage().expected if row.risk == 1}
    return tuple(
        _gap_name(words, component, spots)
        for component, spots in _missing(words, facts, never)
        if component in grave
    )


def _missing(words: PlainWords, facts: Facts, never: Iterable[str]) -> list[tuple[str, list[Spot]]]:
    """Components with the places that nobody spoke of."""
    heard: dict[str, list[Spot]] = {}
    for item in facts.items:
        heard.setdefault(item.component, []).append((item.end, item.side))
    missing: dict[str, list[Spot]] = {}
    for gap in unique(never):
        component, _, place = gap.partition(":")
        spots = [spot for spot in _spots(words, component) if set(place.split()) <= set(spot)]
        left = [spot for spot in spots if not any(_covers(said, spot) for said in heard.get(component, []))]
        missing.setdefault(component, []).extend(left)
    return [(component, spots) for component, spots in missing.items() if spots]


def _spots(words: PlainWords, component: str) -> list[Spot]:
    """Every place at which a machine can have the component."""
    known = words.vocabulary.components.get(component)
    ends = ENDS if known and known.takes_end else (None,)
    sides: tuple[Side | None, ...] = SIDES if known and known.placing in ("pair", "corner") else (None,)
    return [(end, side) for end in ends for side in sides]


def _covers(said: Spot, spot: Spot) -> bool:
    """A remark that names no end or side counts for all of them."""
    return all(one in (None, two) for one, two in zip(said, spot, strict=True))


def _gap_name(words: PlainWords, component: str, spots: list[Spot]) -> str:
    """What is missing of a component; the kind of part where all of it is."""
    if len(spots) == len(_spots(words, component)):
        return _kind_name(words, component)
    whole_end = len(spots) == len(SIDES) and len({end for end, _ in spots}) == 1 and spots[0][0]
    return _all_at(words, component, spots[0][0]) if whole_end else name_of(words, component, spots)


def _all_at(words: PlainWords, component: str, end: End | None) -> str:
    """``rear indicators``."""
    spots = words.paper.spots
    place = spots[end] if end else ""
    return words.paper.names["placed"].format(place=place, part=words.part(component).many)


def _kind_name(words: PlainWords, component: str) -> str:
    """``tyres`` where a machine has several, ``horn`` where it has one."""
    known = words.vocabulary.components.get(component)
    part = words.part(component)
    return part.many if known and known.placing in ("end", "pair", "corner") else part.one


def not_seen(words: PlainWords, piles: Sorted) -> Section[Named]:
    """Parts that the technician named and could not look at."""
    return _named(words, "not_seen", (one.item for one in piles.not_seen))


def unconfirmed(words: PlainWords, facts: Facts, outcome: Outcome) -> Section[Named]:
    """Places of which something was said and nothing is confirmed; what was said is not told."""
    drafted = {item.key: item for item in outcome.walkround.draft.items}
    waiting = [drafted[key] for key in outcome.waiting if key in drafted]
    refused = [one.drafted for one in outcome.rejected if not isinstance(one.drafted, Machine)]
    confirmed = {item.place for item in facts.items}
    still_open = [item for item in (*waiting, *refused) if item.place not in confirmed]
    return _named(words, "unconfirmed", still_open)


def _named(words: PlainWords, section: str, items: Iterable[Item]) -> Section[Named]:
    spots: dict[str, list[Spot]] = {}
    for item in items:
        spots.setdefault(item.component, []).append((item.end, item.side))
    head = words.sections[section]
    named = tuple(Named(part=capital(name_of(words, key, where))) for key, where in spots.items())
    return Section(id=section, heading=head.heading, holds=head.holds, items=named)
