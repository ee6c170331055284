"""The terminal dialogue with typed answers."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from typing import Any

import pytest
from rich.console import Console

from helpers_walkround import FILTER, HORN, NOON, PADS, SEAL, SLACK, TREAD, decision, machine, walkround
from witnessmark.errors import BadInputError, DecisionError, StoreError
from witnessmark.review import MACHINE, apply
from witnessmark.review.dialogue import review_in_terminal
from witnessmark.types import (
    Action,
    Decision,
    DecisionKind,
    Evidence,
    Finding,
    Item,
    Limit,
    Odometer,
    Outcome,
    Reading,
    Walkround,
)


class Terminal:
    """Answers from a list; after the last one the input ends."""

    def __init__(self, typed: Iterable[str]) -> None:
        self.typed = iter(typed)
        self.console = Console(record=True, width=400, file=io.StringIO())
        self.asked: list[str] = []
        self.kept: list[Decision] = []

    def ask(self, prompt: str) -> str:
        self.asked.append(prompt)
        for line in self.typed:
            return line
        raise EOFError

    def review(self, about: Walkround, play: Callable[[Evidence], None] | None = None) -> Outcome:
        return review_in_terminal(about, "Ada Foreman", self.ask, self.console.print, self.kept.append, play)

    @property
    def shown(self) -> str:
        return self.console.export_text(clear=False)

    @property
    def kinds(self) -> list[tuple[str, str]]:
        return [(made.item, made.kind.value) for made in self.kept]


def only(*findings: Finding | Reading, actions: tuple[Action, ...] = ()) -> Walkround:
    """A walkround of these items, its identity decided already."""
    sample = walkround(findings=findings, actions=actions)
    return apply(sample, [decision(sample, MACHINE)]).walkround


def becomes(terminal: Terminal) -> Any:
    return terminal.kept[-1].becomes


def test_confirming_keeps_each_item_as_it_stands_and_names_the_reviewer() -> None:
    terminal = Terminal(["y", "confirm", "q"])
    outcome = terminal.review(only(PADS, HORN))
    assert terminal.kinds == [("f-pads", "confirm"), ("f-horn", "confirm")]
    assert [entry.item for entry in outcome.confirmed] == [PADS, HORN]
    assert outcome.complete
    assert {made.who for made in terminal.kept} == {"Ada Foreman"}
    assert all(made.when.tzinfo is not None and made.when > NOON for made in terminal.kept)


def test_an_item_is_shown_with_its_words_doubts_and_verdict_before_it_is_decided() -> None:
    terminal = Terminal(["q"])
    terminal.review(only(PADS))
    for line in (
        "rear brake pads: worn",
        "»Rear brake pads worn right down«",
        "unsure of 'pads'",
        "dangerous",
    ):
        assert line in terminal.shown


def test_neither_an_empty_line_nor_an_unknown_one_decides_anything() -> None:
    terminal = Terminal(["", "yes please", "q"])
    terminal.review(only(PADS))
    assert terminal.kept == []
    assert "confirm: it enters the record as it stands" in terminal.shown


def test_a_rejection_insists_on_its_reason() -> None:
    terminal = Terminal(["r", "", "front, not rear", "q"])
    outcome = terminal.review(only(PADS))
    assert [(entry.drafted, entry.decision.why) for entry in outcome.rejected] == [(PADS, "front, not rear")]
    assert "cannot be left empty" in terminal.shown


def test_enter_keeps_every_drafted_field() -> None:
    terminal = Terminal(["c", *[""] * 10, "q"])
    terminal.review(only(TREAD))
    assert becomes(terminal) == TREAD.model_copy(update={"confidence": 1.0})


def test_a_reading_is_corrected_by_name_and_its_limit_follows_the_unit() -> None:
    answers = ["c", "", "rear", "none", "tread depth", "0.05", "in", "0.06", "as found", "thou misheard", "q"]
    terminal = Terminal(answers)
    outcome = terminal.review(only(TREAD))
    assert becomes(terminal) == Reading(
        key="r-tread", component="tyre", end="rear", quantity="tread_depth", value=0.05, unit="in",
        limit=Limit(low=0.06), evidence=TREAD.evidence,
    )  # fmt: skip
    assert terminal.kept[-1].why == "thou misheard"
    assert outcome.confirmed[0].drafted == TREAD
    assert any("at least, in in" in prompt for prompt in terminal.asked)


def test_another_quantity_drops_value_unit_and_limit() -> None:
    terminal = Terminal(["c", "", "", "", "date of manufacture", "2217", "", "", "q"])
    terminal.review(only(TREAD))
    assert becomes(terminal).value == "2217"
    assert (becomes(terminal).unit, becomes(terminal).limit) == (None, None)


def test_a_typing_slip_is_offered_the_nearest_names() -> None:
    terminal = Terminal(["c", "brake pds", "brake_pads", "", "left", "", "bulged", "worn", "", "q"])
    terminal.review(only(PADS))
    assert "Nearest: brake pads" in terminal.shown
    assert "bulging" in terminal.shown
    assert (becomes(terminal).side, becomes(terminal).doubts) == ("left", ())


def test_a_part_that_takes_no_end_is_not_asked_for_one() -> None:
    terminal = Terminal(["c", "", "right", "", "", "", "q"])
    terminal.review(only(SEAL))
    assert not any(prompt.startswith("End") for prompt in terminal.asked)
    assert becomes(terminal).side == "right"


def test_what_was_not_seen_has_no_condition() -> None:
    terminal = Terminal(["c", "oil filter", "", "", "q"])
    terminal.review(only(FILTER))
    assert (becomes(terminal).component, becomes(terminal).condition) == ("oil_filter", None)


@pytest.mark.parametrize("typed", ["1,5", "fifteen", "1e3", "nan", "1 5", "-"])
def test_a_number_that_could_mean_two_things_is_asked_for_again(typed: str) -> None:
    terminal = Terminal(["c", "", "", typed, "32.5", "", "", "", "q"])
    terminal.review(only(SLACK))
    assert f"{typed!r} is no number here" in terminal.shown
    assert becomes(terminal).value == 32.5


def test_a_unit_that_does_not_fit_is_refused_and_asked_for_again_with_the_rest_kept() -> None:
    terminal = Terminal(["c", "", "", "31", "psi", "", "", "", "", "", "mm", "", "", "q"])
    terminal.review(only(SLACK))
    assert "cannot be measured in psi" in terminal.shown
    assert (becomes(terminal).value, becomes(terminal).unit) == (31.0, "mm")
    assert len(terminal.kept) == 1


def test_a_correction_can_be_left_half_way() -> None:
    terminal = Terminal(["c", "", ".", "y", "q"])
    outcome = terminal.review(only(PADS))
    assert terminal.kinds == [("f-pads", "confirm")]
    assert outcome.confirmed[0].item == PADS


def test_the_identity_is_corrected_field_by_field() -> None:
    sample = walkround(findings=(), actions=())
    terminal = Terminal(["c", "Q25 LOT", "", "14 250", "", "", "q"])
    outcome = terminal.review(sample)
    assert outcome.machine == machine("Q25 LOT", miles=14250)
    assert outcome.machine.odometer == Odometer(value=14250, unit="mi")


def test_an_identity_left_empty_is_refused() -> None:
    sample = walkround(findings=(), actions=())
    terminal = Terminal(["c", "none", "none", "none", "", "Q25 LOT", "", "", "", "q"])
    outcome = terminal.review(sample)
    assert "registration or a VIN" in terminal.shown
    assert outcome.machine
    assert outcome.machine.registration == "Q25 LOT"


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (
            ["finding", "drive chain", "present", "dry", "seen on the stand"],
            Finding(key="added-1", component="chain", condition="dry", state="present"),
        ),
        (
            ["reading", "tyre", "rear", "", "pressure", "36", "psi", ""],
            Reading(key="added-1", component="tyre", end="rear", quantity="pressure", value=36.0, unit="psi"),
        ),
        (
            ["work", "chain", "lubricate", "to be done"],
            Action(key="added-1", component="chain", kind="lubricate", status="wanted"),
        ),
    ],
)
def test_something_the_draft_lacks_is_added(typed: list[str], expected: Item) -> None:
    terminal = Terminal(["a", *typed, *[""] * (typed[0] != "finding"), "q"])
    outcome = terminal.review(only(HORN))
    assert [(entry.item, entry.drafted) for entry in outcome.confirmed] == [(expected, None)]


def test_a_second_addition_has_a_key_of_its_own() -> None:
    one = ["a", "work", "chain", "lubricate", "wanted", ""]
    terminal = Terminal([*one, *one, "q"])
    terminal.review(only(HORN))
    assert terminal.kinds == [("added-1", "add"), ("added-2", "add")]


def test_after_an_addition_the_item_in_hand_is_shown_again() -> None:
    terminal = Terminal(["p", "u", "a", "work", "chain", "clean", "wanted", "", "y", "q"])
    terminal.review(only(PADS, HORN))
    assert terminal.kinds == [("f-pads", "postpone"), ("added-1", "add"), ("f-pads", "confirm")]


def test_a_postponed_item_is_not_shown_again_in_the_sitting_but_waits() -> None:
    terminal = Terminal(["p", "y", "q"])
    outcome = terminal.review(only(PADS, HORN))
    assert terminal.kinds == [("f-pads", "postpone"), ("f-horn", "confirm")]
    assert outcome.waiting == ("f-pads",)
    assert terminal.shown.count("rear brake pads: worn") == 1


def test_undo_puts_the_last_item_back_and_shows_it_at_once() -> None:
    terminal = Terminal(["y", "y", "u", "r", "no horn fitted", "q"])
    outcome = terminal.review(only(PADS, HORN))
    assert terminal.kinds == [
        ("f-pads", "confirm"),
        ("f-horn", "confirm"),
        ("f-horn", "postpone"),
        ("f-horn", "reject"),
    ]
    assert [entry.item for entry in outcome.confirmed] == [PADS]


def test_undo_goes_back_step_by_step_and_only_within_the_sitting() -> None:
    terminal = Terminal(["y", "y", "u", "u", "u", "q"])
    outcome = terminal.review(only(PADS, HORN))
    assert terminal.kinds[2:] == [("f-horn", "postpone"), ("f-pads", "postpone")]
    assert outcome.confirmed == ()
    assert outcome.machine is not None
    assert "undo" not in terminal.asked[-1]


def test_undoing_a_postponement_only_shows_the_item_again() -> None:
    terminal = Terminal(["p", "u", "y", "q"])
    outcome = terminal.review(only(PADS))
    assert terminal.kinds == [("f-pads", "postpone"), ("f-pads", "confirm")]
    assert outcome.complete


@pytest.mark.parametrize("ending", [EOFError, KeyboardInterrupt])
def test_the_end_of_input_keeps_what_was_decided(ending: type[BaseException]) -> None:
    terminal = Terminal(["y"])

    def ask(prompt: str) -> str:
        try:
            return terminal.ask(prompt)
        except EOFError:
            raise ending from None

    outcome = review_in_terminal(
        only(PADS, HORN), "Ada Foreman", ask, terminal.console.print, terminal.kept.append
    )
    assert terminal.kinds == [("f-pads", "confirm")]
    assert outcome.waiting == ("f-horn",)
    assert "Decided in this sitting: 1. Still waiting: 1." in terminal.shown


def test_each_decision_is_stored_before_the_next_question() -> None:
    terminal = Terminal(["y", "y", "q"])
    seen: list[int] = []

    def ask(prompt: str) -> str:
        seen.append(len(terminal.kept))
        return terminal.ask(prompt)

    review_in_terminal(only(PADS, HORN), "Ada", ask, terminal.console.print, terminal.kept.append)
    assert seen == [0, 1, 2]


def test_a_store_that_fails_ends_the_sitting_and_is_not_hidden() -> None:
    terminal = Terminal(["y"])

    def decide(_: Decision) -> None:
        raise StoreError("the disk is full")

    with pytest.raises(StoreError, match="disk is full"):
        review_in_terminal(only(PADS), "Ada", terminal.ask, terminal.console.print, decide)


def test_a_review_by_nobody_does_not_start() -> None:
    terminal = Terminal([])
    with pytest.raises(DecisionError, match="names nobody"):
        review_in_terminal(only(PADS), " ", terminal.ask, terminal.console.print, terminal.kept.append)
    assert terminal.asked == []


def test_the_words_can_be_heard_where_there_is_sound() -> None:
    played: list[Evidence] = []
    terminal = Terminal(["l", "listen", "y", "q"])
    terminal.review(only(PADS), played.append)
    assert played == [*PADS.evidence] * 2
    assert terminal.kinds == [("f-pads", "confirm")]


def test_without_sound_listening_is_not_offered() -> None:
    silent = PADS.model_copy(
        update={"evidence": (PADS.evidence[0].model_copy(update={"start": None, "end": None}),)}
    )
    terminal = Terminal(["l", "q"])
    terminal.review(only(silent), lambda piece: pytest.fail("there is nothing to play"))
    assert "listen" not in terminal.asked[0]


def test_sound_that_cannot_be_played_is_told_and_the_review_goes_on() -> None:
    def play(_: Evidence) -> None:
        raise BadInputError("the recording is gone")

    terminal = Terminal(["l", "y", "q"])
    terminal.review(only(PADS), play)
    assert "the recording is gone" in terminal.shown
    assert terminal.kinds == [("f-pads", "confirm")]


def test_what_was_heard_is_never_read_as_markup() -> None:
    marked = only(PADS.model_copy(update={"said_first": "[red]front[/red]"}))
    terminal = Terminal(["q"])
    terminal.review(marked)
    assert "[red]front[/red]" in terminal.shown


def test_everything_confirmed_in_a_row_comes_to_the_whole_draft() -> None:
    sample = walkround()
    terminal = Terminal([*["y"] * 10, "q"])
    outcome = terminal.review(sample)
    assert outcome.complete
    assert {entry.item.key for entry in outcome.confirmed if isinstance(entry.item, Item)} == {
        item.key for item in sample.draft.items
    }
    assert outcome.machine == sample.draft.machine
    assert all(made.kind is DecisionKind.CONFIRM for made in terminal.kept)
