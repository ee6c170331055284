"""Machine cards: a card to fill in, what is wrong with one, and where its figures come from."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import pytest
import yaml

from helpers_cli import Run
from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.card_checks import read
from witnessmark.knowledge.card_form import card_text
from witnessmark.knowledge.card_gaps import not_filled_in
from witnessmark.knowledge.cards import OWN, MachineCard, card_for, card_named, cards, own_cards
from witnessmark.knowledge.coverage import coverage
from witnessmark.knowledge.figures import MachineFacts

Write = Callable[..., Path]
CARD = {
    "id": "own-125",
    "name": "Own 125",
    "registrations": ["LK70 DRM"],
    "source": "handbook",
    "sureness": "read",
    "machine_class": "light_motorcycle",
    "capacity_cc": 124,
    "front_brake": "disc",
    "rear_brake": "drum",
    "final_drive": "chain",
    "cooling": "air",
    "engine": "four_stroke",
    "fluid": "DOT 4",
}
FIGURE = {"id": "own.f", "component": "tyre", "end": "front", "quantity": "pressure", "kind": "target",
          "target": 29, "unit": "psi"}  # fmt: skip


@pytest.fixture
def own(tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The workshop's own folder of cards."""
    folder = tmp_path / "cards"
    folder.mkdir()
    monkeypatch.setenv(OWN, str(folder))
    return folder


@pytest.fixture
def write(own: Path) -> Write:
    """Writes a card with other keys and these figures."""

    def written(name: str = "own.yaml", figures: tuple[object, ...] = (), **keys: object) -> Path:
        path = own / name
        card = {key: value for key, value in (CARD | keys).items() if value is not None}
        path.write_text(yaml.safe_dump({**card, "figures": list(figures)}), encoding="utf-8")
        return path

    return written


# ── new ──────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("like", [card.id for card in cards()])
def test_a_new_card_is_in_order_and_judges_nothing_yet(run: Run, own: Path, like: str) -> None:
    made = run("card", "new", "ab-12 cde", "--like", like, "--name", 'The "Own"', "--source", "book: 2nd #1")
    assert made.status == 0
    assert Path(made.out.strip()) == own / "ab12cde.yaml"
    card = card_for("AB12 CDE")
    assert card is not None
    assert (card.name, card.source, card.figures, card.markings) == ('The "Own"', "book: 2nd #1", (), ())
    assert card.built == card_named(like).built
    assert card.capacity_cc is None
    assert run("card", "check").status == 0


@pytest.mark.parametrize("like", [card.id for card in cards()])
def test_every_row_of_a_new_card_waits_for_the_handbooks_figure(own: Path, like: str) -> None:
    """Every # taken away and nothing filled in: refused, so that nothing usual becomes the maker's."""
    text = card_text("AB12 CDE", "Own", "handbook", card_named(like))
    path = own / "bare.yaml"
    path.write_text(text.replace("  # - {", "  - {"), encoding="utf-8")
    rows = [
        row
        for section in ("figures", "markings", "intervals")
        for row in yaml.safe_load(path.read_text())[section]
    ]
    _, faults = read(path)
    refused = {fault.split(": ")[0].removeprefix("row ") for fault in faults}
    numbers = {row["id"] for row in rows if "text" not in row}
    assert numbers <= refused
    assert len(numbers) > 5


def test_a_text_that_is_not_filled_in_is_refused(write: Write) -> None:
    marking = {"id": "m", "component": "spark_plug", "quantity": "grade_marking", "text": "?"}
    assert read(write(markings=[marking]))[1] == ("row m: text: is not filled in",)
    assert read(write(fluid="?"))[1] == ("fluid: is not filled in",)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["KX21 WPT", "--like", "naked-chain"], "has a card already, larkspur-400"),
        (["AB12 CDE"], "scooter-belt"),
        (["AB12 CDE", "--like", "scoter-belt"], "did you mean 'scooter-belt'?"),
        (["--like", "naked-chain", "--", " - "], "no letter or digit"),
    ],
)
def test_a_card_that_cannot_be_made(run: Run, own: Path, arguments: list[str], told: str) -> None:
    ran = run("card", "new", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert told in ran.err
    assert list(own.iterdir()) == []


def test_a_card_that_is_there_is_not_written_over(run: Run, own: Path) -> None:
    (own / "ab12cde.yaml").write_text("mine", "utf-8")
    ran = run("card", "new", "AB12 CDE", "--like", "naked-chain", "--out", own / "ab12cde.yaml")
    assert ran.status in (2, 5)
    assert (own / "ab12cde.yaml").read_text("utf-8") == "mine"


# ── check ────────────────────────────────────────────────────────────────────────────────────

BAD_KEYS = [
    ({"colour": "red"}, "row own-125: colour: there is no such key"),
    ({"front_brakes": "disc"}, "front_brakes: there is no such key; did you mean 'front_brake'?"),
    ({"front_brake": "discs"}, "front_brake: 'discs' is not one of 'disc' or 'drum'"),
    ({"source": None}, "source: the key is missing"),
    ({"registrations": [1234]}, "1234 is not text; put it in quotes"),
    ({"machine_class": "moped"}, "capacity_cc: 124 is more than a moped may have"),
    ({"capacity_cc": 0.124}, "capacity_cc: 0.124 is no engine's"),
    ({"engine": "electric"}, "capacity_cc: an electric machine has none"),
    ({"kind": "class"}, "registrations: the card of a class is of no one machine"),
    ({"kind": "class", "registrations": None}, "capacity_cc: the card of a class decides no limit"),
    ({"usual": {"chemistry": "agm"}}, "usual: only the card of a class has it"),
    ({"final_drive": "belt", "rear_teeth": 45}, "rear_teeth: the final drive is a belt"),
    ({"markings": "10W-40"}, "markings is not a list of rows"),
]
BAD_FIGURES = [
    ({"target": 29, "unit": "bar"}, "29 bar cannot be a pressure of this part (0.8 to 4.5 bar); was it"),
    ({"target": 2.5, "unit": "psi"}, "was it 2.5 bar?"),
    ({"unit": "mm"}, "unit: mm does not measure pressure; use kPa"),
    ({"unit": "PSI"}, "unit: 'PSI' is not a unit of the vocabulary; did you mean 'psi'?"),
    ({"component": "tire"}, "component: 'tire' is not a component of the vocabulary; did you mean 'tyre'?"),
    ({"quantity": "size_marking"}, "size marking is a text; write it as a marking"),
    ({"kind": "range", "target": None, "low": 33, "high": 29}, "low: 33 is not below high, 29"),
    ({"component": "brake_disc", "end": "rear", "quantity": "thickness", "kind": "low", "target": None,
      "low": 4, "unit": "mm"}, "the machine has no rear brake disc, by how the card says it is built"),
    ({"component": "coolant", "end": None, "quantity": "volume", "target": 1, "unit": "L"},
     "the machine has no coolant"),
    ({"component": "two_stroke_oil", "end": None, "quantity": "volume", "target": 1, "unit": "L"},
     "the machine has no two-stroke oil"),
    ({"component": "chain", "quantity": "slack", "target": 30, "unit": "mm"}, "end: drive chain has no"),
    ({"component": "brake_pads", "quantity": "thickness", "kind": "low", "target": None, "low": 1.5,
      "unit": "in"}, "1.5 in cannot be a thickness of this part (0.5 to 6 mm); was it 1.5 mm?"),
    ({"component": "brake_pads", "quantity": "thickness", "kind": "low", "target": None, "low": 1.5,
      "unit": "mm", "laden": True}, "laden: only a pressure differs with the load"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "told"), BAD_KEYS)
def test_a_wrong_key_is_told_by_name(run: Run, write: Write, keys: dict[str, object], told: str) -> None:
    path = write(**keys)
    ran = run("card", "check", path)
    assert (ran.status, ran.out) == (5, "")
    assert str(path) in ran.err
    assert told in ran.err


@pytest.mark.parametrize(("keys", "told"), BAD_FIGURES)
def test_an_impossible_figure_is_told_by_row(
    run: Run, write: Write, keys: dict[str, object], told: str
) -> None:
    figure = {key: value for key, value in (FIGURE | keys).items() if value is not None}
    ran = run("card", "check", write(figures=(figure,)))
    assert ran.status == 5
    assert "row own.f: " in ran.err
    assert told in ran.err


def test_figures_that_contradict_each_other(write: Write) -> None:
    same = FIGURE | {"id": "own.g", "end": "front"}
    assert "says the same thing as row own.f" in read(write(figures=(FIGURE, same)))[1][0]
    laden = FIGURE | {"id": "own.g", "laden": True, "target": 1.9, "unit": "bar"}
    assert "less than the pressure for one rider, row own.f" in read(write(figures=(FIGURE, laden)))[1][0]
    assert read(write(figures=(FIGURE, laden | {"target": 2.0})))[1] == ()  # 29 psi are 1.9995 bar


MARKINGS = [
    ("tyre", "size_marking", "110/70-17 M/C 54H", ""),
    ("tyre", "size_marking", "120/70 ZR 17 M/C (58W)", ""),
    ("tyre", "size_marking", "3.00-18", ""),
    ("tyre", "size_marking", "MT90B16", ""),
    ("tyre", "size_marking", "seventeen inch", "write it like 110/70-17 M/C 54H"),
    ("chain", "size_marking", "520", ""),
    ("chain", "size_marking", "52", "write it like 520"),
    ("brake_fluid", "grade_marking", "DOT 5.1", "DOT 5.1 is not the DOT 4 that the key fluid says"),
    ("brake_fluid", "grade_marking", "DOT 6", "write it like DOT 4"),
    ("engine_oil", "grade_marking", "10W-40 JASO MA", ""),
    ("coolant", "grade_marking", "blue", "the machine has no coolant"),
]


@pytest.mark.parametrize(("component", "quantity", "text", "told"), MARKINGS)
def test_markings(write: Write, component: str, quantity: str, text: str, told: str) -> None:
    """Sizes as in the examples Z1 to Z7: UN regulation 75 and ISO 10190, from memory."""
    row = {"id": "m", "component": component, "quantity": quantity, "text": text}
    faults = read(write(markings=[row]))[1]
    assert bool(faults) == bool(told)
    assert all(told in fault for fault in faults[:1])


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ({}, "give a distance"),
        ({"every": 6000}, "every and unit go together"),
        ({"every": 6, "unit": "km"}, "6 km is no interval; write the whole distance"),
        ({"months": 24, "work": "polish"}, "'polish' is neither an action nor look"),
        ({"months": 12, "work": "look"}, ""),
    ],
)
def test_intervals(write: Write, row: dict[str, object], told: str) -> None:
    faults = read(write(intervals=[{"id": "i", "component": "machine", "work": "replace"} | row]))[1]
    assert bool(faults) == bool(told)
    assert all(told in fault for fault in faults)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("id: a\nname: [", "line "),
        ("just words", "is not a mapping of keys"),
        ("", "is not a mapping of keys"),
        ("id: a\nfluid: DOT 4\nfluid: DOT 5\n", "line 3: the key fluid stands twice"),
        ("\x00", "is not YAML"),
    ],
)
def test_a_file_that_is_no_card(run: Run, own: Path, text: str, told: str) -> None:
    (own / "bad.yaml").write_text(text, "utf-8")
    ran = run("card", "check", own / "bad.yaml")
    assert ran.status == 5
    assert told in ran.err
    assert "Traceback" not in ran.err


def test_all_that_is_wrong_is_told_at_once(run: Run, write: Write) -> None:
    figures = (FIGURE | {"unit": "bar"}, FIGURE | {"id": "own.g", "unit": "mm"})
    write(figures=figures)
    good = write("good.yaml", id="good", registrations=["AB12 CDE"])
    ran = run("card", "check")
    assert ran.status == 5
    assert "row own.f" in ran.err
    assert "row own.g" in ran.err
    assert f"{good}" not in ran.err
    assert "good: in order" in ran.out


@pytest.mark.parametrize(
    ("mark", "id", "told"),
    [
        ("kx21wpt", "mine", "KX21WPT"),
        ("LK70-DRM", "mine", "LK70DRM"),
        ("AB12 CDE", "larkspur-400", "larkspur-400"),
    ],
)
def test_two_cards_for_one_machine_are_refused(run: Run, write: Write, mark: str, id: str, told: str) -> None:
    write()
    second = write("second.yaml", id=id, registrations=[mark])
    ran = run("card", "check", second)
    assert ran.status == 5
    assert told in ran.err
    with pytest.raises(KnowledgeError, match=r"two cards|used twice"):
        own_cards()


def test_a_bad_card_stops_the_work_before_anything_is_judged_without_it(
    run: Run, write: Write, tmp_path: Path
) -> None:
    path = write(figures=(FIGURE | {"unit": "bar"},))
    talk = tmp_path / "talk.txt"
    talk.write_text("The horn works.", "utf-8")
    ran = run("assess", talk)
    assert ran.status == 5
    assert str(path) in ran.err
    assert "witnessmark card check" in ran.err


def test_a_card_that_is_mended_counts_at_once(write: Write) -> None:
    write(figures=(FIGURE | {"unit": "bar"},))
    with pytest.raises(KnowledgeError):
        card_for("LK70 DRM")
    write(figures=(FIGURE,))
    card = card_for("lk70drm")
    assert card is not None
    assert card.figures[0].source == "handbook"
    assert card.figures[0].sureness == "read"


def test_no_such_file(run: Run, own: Path) -> None:
    assert run("card", "check", own / "none.yaml").status == 2
    assert run("card", "show", own / "none.yaml").status == 2


# ── show ─────────────────────────────────────────────────────────────────────────────────────


def test_where_each_figure_comes_from(run: Run, write: Write) -> None:
    write(figures=(FIGURE, FIGURE | {"id": "own.g", "end": "rear", "source": "label", "sureness": "memory"}))
    ran = run("card", "show", "LK70DRM")
    assert "29 psi" in ran.out
    assert "handbook" in ran.out
    assert "label" in ran.out
    assert "memory" in ran.out
    assert "maker's manual" in ran.out
    shown = json.loads(run("card", "show", "own-125", "--json").out)
    assert [(f["source"], f["sureness"]) for f in shown["figures"]] == [
        ("handbook", "read"),
        ("label", "memory"),
    ]


def test_all_cards_are_listed(run: Run, write: Write) -> None:
    write()
    ran = run("card", "show")
    assert all(card.id in ran.out for card in (*own_cards(), *cards()))
    assert len(json.loads(run("card", "show", "--json").out)) == len(cards()) + 1


# ── the cards that come with the program ─────────────────────────────────────────────────────


CHOICES = {"front": "front_brake", "rear": "rear_brake", "final": "final_drive"}
"""Choices of coverage whose key on a card has another name."""


def ways(key: str) -> set[str]:
    """What a card may say under a key."""
    hint = MachineCard.model_fields[key].annotation
    return {one for part in (hint, *get_args(hint)) for one in get_args(part) if isinstance(one, str)}


def test_every_way_a_card_can_say_is_one_that_coverage_knows() -> None:
    rows = coverage().alternatives
    for choice in {row.choice for row in rows}:
        known = {row.id.removeprefix(f"{choice}_") for row in rows if row.choice == choice}
        assert ways(CHOICES.get(choice, choice)) == known


CLASSES = [card for card in cards() if card.kind == "class"]


def test_a_class_for_every_way_that_a_machine_is_usually_built() -> None:
    assert {card.final_drive for card in CLASSES} == {"chain", "belt", "shaft", "hub"}
    assert {card.engine for card in CLASSES} == {"four_stroke", "two_stroke", "electric"}
    assert {card.front_brake for card in CLASSES} == {"disc", "drum"}
    assert {card.gears for card in CLASSES} == {"manual", "automatic"}


@pytest.mark.parametrize("card", CLASSES, ids=lambda card: card.id)
def test_a_class_is_no_maker(card) -> None:
    assert card.makers == ()
    assert card.makers_markings == ()
    assert card.registrations == ()
    assert {getattr(card, fact) for fact in MachineFacts.model_fields} == {None}
    assert "read" not in {row.sureness for row in (*card.figures, *card.markings, *card.intervals)}
    assert not [figure for figure in card.figures if figure.quantity == "torque"]


LATER = {"plug.gap", "idle", "axle", "plug"}


def test_what_is_filled_in_at_one_end_is_asked_for_at_the_other(run: Run, write: Write) -> None:
    ran = run("card", "check", write(figures=(FIGURE,)))
    assert "not filled in: rear tyre pressure (cold, one rider)" in ran.out
    assert "not filled in: front tyre pressure (cold, one rider)" not in ran.out
    assert "not filled in: chemistry (of the battery" in ran.out
    assert "not filled in: capacity_cc" not in ran.out


def test_the_card_of_the_demo_is_nearly_full() -> None:
    assert {gap.row.id for gap in not_filled_in(card_named("larkspur-400"))} == LATER
