"""The line drawing: where on the machine the parts are that call for something."""

from __future__ import annotations

from witnessmark.knowledge.drawings import WHOLE, DrawingRow
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.page import Drawing, Entry, Numbered, Section
from witnessmark.summarise.words import capital

Graded = tuple[Section[Entry], ...]


def numbered(graded: Graded) -> Graded:
    """The sections with the numbers of their places, counted in the order of the page."""
    order = _order(graded)
    return tuple(
        section.model_copy(update={"items": tuple(_with_numbers(entry, order) for entry in section.items)})
        for section in graded
    )


def _order(graded: Graded) -> dict[str, int]:
    """Place → its number. Parts that call for nothing have none."""
    calling = [entry for section in graded for entry in section.items if _calls(entry)]
    places = dict.fromkeys(place for entry in calling for place in entry.places if place != WHOLE)
    return {place: number for number, place in enumerate(places, start=1)}


def _calls(entry: Entry) -> bool:
    return bool(entry.grade or entry.advised)


def _with_numbers(entry: Entry, order: dict[str, int]) -> Entry:
    numbers = tuple(order[place] for place in entry.places if place in order) if _calls(entry) else ()
    return entry.model_copy(update={"at": numbers})


def drawing(
    words: PlainWords, graded: Graded, row: DrawingRow, places: dict[str, dict[str, tuple[float, float]]]
) -> Drawing | None:
    """The drawing with the numbered places of the sections; None where no place has a number.

    Args:
        words: the plain words.
        graded: sections as ``numbered`` gives them.
        row: the drawing to use.
        places: of ``drawings.yaml``.
    """
    spots = tuple(
        _spot(words, graded, place, number, places[place][row.id]) for place, number in _order(graded).items()
    )
    if not spots:
        return None
    labels = words.paper.labels
    told = "; ".join(
        labels["where_one"].format(number=one.number, place=one.name, parts=", ".join(one.parts))
        for one in spots
    )
    return Drawing(
        id=row.id,
        heading=labels["where_head"],
        holds=labels["where_holds"],
        says=labels["where_says"].format(drawing=labels[f"drawing_{row.id}"], places=told),
        width=row.width,
        height=row.height,
        places=spots,
    )


def _spot(words: PlainWords, graded: Graded, place: str, number: int, at: tuple[float, float]) -> Numbered:
    here = [entry for section in graded for entry in section.items if number in entry.at]
    parts = [f"{entry.part} ({entry.label})" if entry.label else entry.part for entry in here]
    name = capital(words.paper.places[place])
    return Numbered(number=number, x=at[0], y=at[1], name=name, parts=tuple(dict.fromkeys(parts)))
