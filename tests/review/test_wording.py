"""What a reviewer reads about an item."""

import pytest

from helpers_walkround import (
    ADJUSTED,
    FILTER,
    NEW_PADS,
    PADS,
    SEAL,
    TALK,
    TREAD,
    VERDICTS,
    corrected,
    decision,
    machine,
    walkround,
)
from witnessmark.review.standing import Entry, standings
from witnessmark.review.wording import bounds, heard, judged, lines, printable, says
from witnessmark.types import Evidence, Limit, Machine


@pytest.mark.parametrize(
    ("entry", "line"),
    [
        (TREAD, "front tyre: tread depth 1.2 mm (limit said: at least 1.5 mm)"),
        (PADS, "rear brake pads: worn"),
        (SEAL, "left fork oil seal: leaking"),
        (corrected(SEAL, state="absent"), "left fork oil seal: looked for leaking and found none"),
        (corrected(SEAL, state="unsure"), "left fork oil seal: perhaps leaking"),
        (FILTER, "air filter: could not be seen"),
        (ADJUSTED, "drive chain: adjust, done in the walkround"),
        (NEW_PADS, "rear brake pads: replace, wanted"),
        (machine(), "machine: registration Q24 LOT; VIN not said; odometer 14,200 mi"),
        (Machine(), "machine: registration not said; VIN not said; odometer not said"),
        (corrected(TREAD, phase="left", limit=None), "front tyre: tread depth 1.2 mm, as left after work"),
    ],
)
def test_one_line_for_each_kind(entry: Entry, line: str) -> None:
    assert says(entry) == line


def test_the_words_heard_stand_between_marks_with_whole_words_around_and_seconds() -> None:
    line = heard(TALK, PADS.evidence[0], around=30)
    assert line == (
        "at 13.7 to 16.8 s: … one point two millimetres. »Rear brake pads worn right down«. "
        "Fork seal on the left is …"
    )


def test_at_the_edges_of_the_talk_nothing_is_left_out() -> None:
    assert heard("Horn works", Evidence(text="Horn", char_start=0, char_end=4)) == "»Horn« works"


def test_doubt_words_and_verdict_are_all_shown() -> None:
    sample = walkround()
    known = standings(sample)
    says_, doubt, words, verdict = lines(sample, known["f-pads"])
    assert says_ == "rear brake pads: worn"
    assert doubt == "Doubt: The recogniser was unsure of 'pads'."
    assert words.startswith("Heard at 13.7 to 16.8 s: … ")
    assert "»Rear brake pads worn right down«" in words
    assert verdict == "Judged dangerous, common practice"
    assert lines(sample, known["r-tread"])[-1] == (
        "Judged dangerous, law, limit at least 1.6 mm: 0.4 mm below the least depth. "
        "[source: Own Act 12; read]"
    )


def test_an_added_item_says_that_it_was_not_heard() -> None:
    sample = walkround()
    extra = corrected(SEAL, key="added-1", side="right", evidence=())
    trail = (decision(sample, "added-1", "add", becomes=extra), decision(sample, "added-1", "postpone"))
    later = sample.model_copy(update={"decisions": trail})
    assert lines(later, standings(later)["added-1"]) == (
        "right fork oil seal: leaking",
        "Put back earlier.",
        "Added by a reviewer, not from the talk.",
        "Not judged.",
    )


def test_a_verdict_without_rule_names_none() -> None:
    assert judged(VERDICTS[4]) == "Judged sound"


def test_bounds_of_every_kind() -> None:
    assert bounds(Limit(low=25, high=35, target=30), "mm") == "at least 25 mm, at most 35 mm, aim for 30 mm"
    assert bounds(None, "mm") == "none"


def test_control_characters_do_not_reach_the_terminal() -> None:
    assert printable("a\x1b[31mb\x07") == "a�[31mb�"
