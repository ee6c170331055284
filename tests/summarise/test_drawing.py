"""The line drawing: every part has its place, and the numbers are those beside the parts."""

from __future__ import annotations

import copy
from xml.etree import ElementTree

import pytest
from tests.summarise.reading import parsed, text_of
from tests.summarise.scenario import calm, find, graded, grave, outcome, usual

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import drawings as module
from witnessmark.knowledge.cards import cards
from witnessmark.knowledge.drawings import drawings
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.plain import plain_words
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.summarise import render, summarise
from witnessmark.types import Grade

WORDS, ROWS = plain_words(), drawings()


def test_every_part_but_the_whole_has_a_place_and_every_place_a_name() -> None:
    assert set(vocabulary().components) - set(ROWS.components) == {"machine"}
    assert set(ROWS.places) | {"whole"} == set(WORDS.paper.places)
    for component, part in vocabulary().components.items():
        ends = ("front", "rear") if part.takes_end else (None,)
        assert all(len(ROWS.places_of(component, end)) == 1 for end in ends), component
    assert ROWS.places_of("tyre", None) == ("front_wheel", "rear_wheel")
    assert ROWS.places_of("machine", None) == ("whole",)


@pytest.mark.parametrize("row", ROWS.drawings, ids=lambda row: row.id)
def test_a_drawing_is_one_plain_svg_and_its_places_lie_in_it(row) -> None:
    root = ElementTree.fromstring(row.svg)
    assert root.get("viewBox") == f"0 0 {row.width:g} {row.height:g}"
    assert {node.tag.split("}")[1] for node in root.iter()} <= {"svg", "g", "path", "circle", "ellipse"}
    spots = [spot[row.id] for spot in ROWS.places.values()]
    assert all(14 < x < row.width - 14 and 14 < y < row.height - 14 for x, y in spots)
    near = [
        (one, other) for n, one in enumerate(spots) for other in spots[:n]
        if (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 < 24**2
    ]  # fmt: skip
    assert near == [], "numbers would cover each other"


def test_the_machine_card_chooses_the_drawing() -> None:
    chosen = {card.id: ROWS.of_machine(card.built.values()).id for card in cards()}
    assert chosen["scooter-belt"] == "scooter"
    assert chosen["larkspur-400"] == chosen["tourer-shaft"] == "motorcycle"


def test_numbers_are_those_beside_the_parts_gravest_first() -> None:
    page = summarise(grave(), WORDS)
    beside = [(entry.at, entry.part) for section in page.graded for entry in section.items if entry.at]
    assert beside[0] == ((1,), "Rear tyre")
    for place in page.drawing.places:
        here = [part for numbers, part in beside if place.number in numbers]
        assert here == [text.partition(" (")[0] for text in place.parts]
    assert [place.number for place in page.drawing.places] == list(range(1, len(page.drawing.places) + 1))
    assert "1 Rear wheel: Rear tyre (Dangerous)" in page.drawing.says


def test_what_calls_for_nothing_has_no_number() -> None:
    assert summarise(outcome([]), WORDS).drawing is None
    page = summarise(calm(), WORDS)
    assert [place.parts for place in page.drawing.places] == [("Steering head bearings (Advisory)",)]


def test_the_whole_machine_has_no_number_and_leaves_no_gap() -> None:
    rows = [
        (find("machine", "damage"), graded(Grade.MAJOR)),
        (find("horn", "inoperative"), usual(Grade.MINOR)),
    ]
    page = summarise(outcome(rows), WORDS)
    assert [place.number for place in page.drawing.places] == [1]


def test_both_ends_stand_where_none_was_said() -> None:
    page = summarise(outcome([(find("tyre", "worn"), graded(Grade.MAJOR))]), WORDS)
    assert [place.name for place in page.drawing.places] == ["Front wheel", "Rear wheel"]
    assert page.graded[0].items[0].at == (1, 2)


def test_the_page_shows_it_with_words_for_it() -> None:
    root = parsed(render(summarise(grave(), WORDS, built=("final_belt", "gears_automatic"))))
    svg = next(node for node in root.iter() if node.get("class") == "machine-drawing")
    assert svg.get("aria-label").startswith("Drawing of a scooter")
    listed = [text_of(node) for node in root.iter("ol") for node in node.findall("li")]
    assert listed[0] == "1 Rear wheel: Rear tyre (Dangerous)"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda raw: raw["components"].update(side_car="seat"), "unknown component 'side_car'"),
        (lambda raw: raw["components"].update(seat="moon"), "unknown place 'moon'"),
        (lambda raw: raw["places"]["seat"].pop("scooter"), "row seat: a drawing has no such place"),
        (lambda raw: raw["drawings"][0].update(width=10), "row scooter: its size is not the viewBox"),
        (lambda raw: raw["drawings"][0].update(file="none.svg"), "row scooter: none.svg cannot be read"),
        (lambda raw: raw["drawings"].pop(), "the last drawing must fit any machine"),
    ],
)
def test_a_bad_row_is_named(change, message: str, monkeypatch: pytest.MonkeyPatch) -> None:
    raw = copy.deepcopy(read_yaml(module.FILE))
    change(raw)
    monkeypatch.setattr(module, "read_yaml", lambda _: raw)
    with pytest.raises(KnowledgeError, match=message):
        drawings.__wrapped__()
