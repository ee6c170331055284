"""Work already done: what was found, what was done, and the figures before and after."""

from __future__ import annotations

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import FAULTY, Facts, Judged, Measured, Sorted, applies, left_of
from witnessmark.summarise.page import Line, Section, Work
from witnessmark.summarise.told import quantity_name, told
from witnessmark.summarise.words import Spot, and_list, capital, name_of, reading_text, unique
from witnessmark.types import Action, Item, Reading

Place = tuple[str, Spot]


def work_done(words: PlainWords, facts: Facts, piles: Sorted) -> Section[Work]:
    """One entry for each part worked on; the same work on both sides becomes one."""
    same: dict[tuple[str, Work], list[Spot]] = {}
    for place in _places(words, facts, piles):
        work = _work(words, facts, piles, place)
        same.setdefault((place[0], work), []).append(place[1])
    items = tuple(
        work.model_copy(update={"part": capital(name_of(words, component, spots))})
        for (component, work), spots in same.items()
    )
    head = words.sections["done"]
    return Section(id="done", heading=head.heading, holds=head.holds, items=items)


def _place(item: Item) -> Place:
    return item.component, (item.end, item.side)


def _places(words: PlainWords, facts: Facts, piles: Sorted) -> tuple[Place, ...]:
    """Places with work or with a reading taken after work; work on a whole counts once, at the whole."""
    done = [action for action in facts.actions if action.status == "done"]
    places = [_place(action) for action in done]
    places += [_place(one.item) for one in piles.settled]
    places += [_place(one.reading) for one in facts.readings if one.reading.phase == "left"]
    return tuple(dict.fromkeys(places))


def _work(words: PlainWords, facts: Facts, piles: Sorted, place: Place) -> Work:
    component, (end, side) = place
    at = Item(component=component, end=end, side=side)
    done = [action for action in facts.actions if action.status == "done" and applies(words, action, at)]
    settled = [one for one in piles.settled if one.item.place == at.place]
    return Work(
        part="",
        did=capital(and_list(words, unique(_did(words, action) for action in done))),
        found=tuple(_found(words, one) for one in settled if _told_here(facts, one)),
        figures=tuple(_figures(words, facts, at)),
    )


def _did(words: PlainWords, action: Action) -> str:
    row = words.actions.get(action.kind)
    return words.pick(row.done, action.component) if row else action.kind.replace("_", " ")


def _told_here(facts: Facts, one: Judged) -> bool:
    """A reading with a figure taken after the work is told by its figures."""
    return not isinstance(one.item, Reading) or not left_of(facts, one.item)


def _found(words: PlainWords, one: Judged) -> Line:
    label = words.phrases["graded"].format(label=words.grades[one.grade].label)
    return Line(text=capital(told(words, one)), label=label if one.grade in FAULTY else "")


def _figures(words: PlainWords, facts: Facts, at: Item) -> list[str]:
    """``slack 48 mm as found (Major), 30 mm as left`` for each quantity read after work."""
    here = [one for one in facts.readings if one.reading.place == at.place]
    texts = []
    for quantity in unique(one.reading.quantity for one in here if one.reading.phase == "left"):
        same = [one for one in here if one.reading.quantity == quantity]
        same.sort(key=lambda one: one.reading.phase == "left")
        values = ", ".join(_phased(words, one) for one in same)
        texts.append(capital(f"{quantity_name(words, same[0].reading)} {values}"))
    return texts


def _phased(words: PlainWords, one: Measured) -> str:
    """A value with when it was read, and its grade where that is one."""
    text = f"{reading_text(words, one.reading)} {words.phrases['as_' + one.reading.phase]}"
    grade = one.judged.grade
    return f"{text} ({words.grades[grade].label})" if grade in FAULTY else text
