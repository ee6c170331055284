"""What holds for any talk."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from walkrounds.scoring import Row, gold_files
from witnessmark.extract import extract
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import GAP, expand
from witnessmark.types import Draft, Reading

from .forms import words
from .reading import FOLDER, draft_lines, params, read

GOLD: dict[str, Row] = {
    row["id"]: row for row in gold_files(Path(__file__).parents[1] / "walkrounds" / "own")
}
PHRASES = sorted(
    {
        " ".join(w for w in said if w != GAP)
        for r in lexicon().rows
        for p in r.phrases
        for said in expand(p)[:3]
    }
)
talk = st.lists(
    st.sampled_from(PHRASES)
    | st.integers(0, 20_000).map(str)
    | st.floats(0, 60).map(lambda x: f"{x:.1f}")
    | st.integers(0, 99).map(words)
    | st.sampled_from(
        [".", ",", "?", "...", ":", ";", "-", "(", ")", "/", "\n", "is", "are", "the", "and", "but", "no"]
    )
    | st.text(max_size=4),
    max_size=25,
).map(lambda pieces: " ".join((*pieces, ".")))
countries = st.sampled_from([None, "GB", "US", "DE", "US-MD"])


def check(draft: Draft, text: str) -> None:
    """A draft is valid, and its evidence slices the text."""
    assert draft.text == text
    assert Draft.model_validate(draft.model_dump()) == draft
    assert len({item.key for item in draft.items}) == len(draft.items)
    for item in draft.items:
        assert 0 < item.confidence <= 1
        assert item.evidence
        for evidence in item.evidence:
            assert evidence.text == text[evidence.char_start : evidence.char_end]


@settings(max_examples=300, deadline=None)
@given(st.text(), countries)
def test_any_text_gives_a_valid_draft(text: str, country: str | None) -> None:
    check(extract(text, jurisdiction=country), text)


@settings(max_examples=400, deadline=None)
@given(talk, countries)
def test_any_talk_gives_a_valid_draft(text: str, country: str | None) -> None:
    check(extract(text, jurisdiction=country), text)


GLUE = [
    *("to", "through", "and", "a", "an", "half", "point", "of", "per", "by", "over", "-", "–", "/", ".", ","),
    *("zero", "one", "five", "twenty", "hundred", "thousand", "5", "2.5", "17", "-"),
]
"""Words that numbers are made of, and that join them."""


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(GLUE), max_size=6).map(" ".join))
def test_figures_may_break_off_anywhere(text: str) -> None:
    check(extract(text), text)


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(sorted(GOLD)), st.integers(1, 2_000), st.integers(1, 200))
def test_a_walkround_may_begin_and_end_anywhere(id_: str, begin: int, length: int) -> None:
    text = GOLD[id_]["text"][begin : begin + length]
    check(extract(text, jurisdiction=GOLD[id_]["jurisdiction"]), text)


@pytest.mark.parametrize("id_", GOLD)
def test_evidence_of_a_walkround_slices_it(id_: str) -> None:
    text = GOLD[id_]["text"]
    check(drafted(text, GOLD[id_]["jurisdiction"]), text)


@cache
def drafted(text: str, jurisdiction: str | None) -> Draft:
    return extract(text, jurisdiction=jurisdiction)


def lines(text: str, jurisdiction: str | None) -> list[str]:
    return sorted(draft_lines(drafted(text, jurisdiction)))


# ── an unrelated sentence ────────────────────────────────────────────────────────────────────

KETTLE = " The kettle is on."


@pytest.mark.parametrize("id_", params(GOLD))
def test_an_unrelated_sentence_changes_nothing(id_: str) -> None:
    text, country = GOLD[id_]["text"], GOLD[id_]["jurisdiction"]
    before = drafted(text, country)
    stop = "" if text.rstrip()[-1] in ".?!" else "."
    after = drafted(text.rstrip() + stop + KETTLE, country)
    assert after.items == before.items
    assert after.machine == before.machine


@settings(max_examples=200, deadline=None)
@given(talk)
def test_an_unrelated_sentence_changes_nothing_in_any_talk(text: str) -> None:
    text = f"Front tyre is fine. {text}. Horn works."
    assert extract(text + KETTLE).items == extract(text).items


# ── left and right ───────────────────────────────────────────────────────────────────────────

SENTENCE_END = re.compile(r"(?<=[.?!]) ")
SIDES = re.compile(r"\b(left|right)\b", re.IGNORECASE)
OTHER_SIDES = re.compile(
    r"""(near|off).?si(de|ght) | kerb | (clutch|throttle|lever|gear|stand|pedal|shifter).side | starboard
    | \b(mm|mil|millimetres?|half|quarter|percent|cent|%|meat|material|life|plenty|lot|tread|dread)\ left
    | \b(it|I|I've|been|rubber|as)\ left
    | \b(seconds|sixteenths|eighths|is)\ left
    | (what's|nothing|\d)\ left | left\ (it|them|that|on|in|alone|for|to|over|where|as|a|\d+)\b
    | \b(all|that's|just|is|looks?|sounds?|not)\ right | ^right | upright
    | right\ ?(,|\.)(\s|$)
    | right\ ?(so|then|now|round|way|at|up|down|on|in|out|through|back|to|behind|across)\b
    | right\ (where|under|here)\b""",
    re.IGNORECASE | re.VERBOSE,
)
"""Sides said by other words, and left and right that are no sides."""


def swapped(text: str) -> str:
    """A text in which left and right have changed places."""
    return SIDES.sub(lambda m: _like(m[0], "right" if m[0].lower() == "left" else "left"), text)


def _like(word: str, other: str) -> str:
    return other.upper() if word.isupper() else other.capitalize() if word[0].isupper() else other


MIRRORED = [
    id_ for id_, gold in GOLD.items() if SIDES.search(gold["text"]) and not OTHER_SIDES.search(gold["text"])
]
CASES = {case.said: case.jurisdiction for path in sorted(FOLDER.glob("*.case")) for case in read(path)}
SENTENCES = {
    sentence: gold["jurisdiction"] for gold in GOLD.values() for sentence in SENTENCE_END.split(gold["text"])
} | CASES
WITH_SIDES = [s for s in SENTENCES if SIDES.search(s) and not OTHER_SIDES.search(s) and len(s) < 300]


@pytest.mark.parametrize("id_", params(MIRRORED, "b-012"))
def test_left_and_right_change_places_in_a_walkround(id_: str) -> None:
    text, country = GOLD[id_]["text"], GOLD[id_]["jurisdiction"]
    assert lines(swapped(text), country) == sorted(map(swapped_line, lines(text, country)))


@pytest.mark.parametrize("sentence", params(WITH_SIDES))
def test_left_and_right_change_places_in_a_sentence(sentence: str) -> None:
    country = SENTENCES[sentence]
    assert lines(swapped(sentence), country) == sorted(map(swapped_line, lines(sentence, country)))


def swapped_line(line: str) -> str:
    """A drafted line with its side changed; the phase "left" stays."""
    part, end, side, *rest = line.removeprefix("! ").split(" ")
    side = {"left": "right", "right": "left"}.get(side, side)
    return ("! " if line.startswith("!") else "") + " ".join((part, end, side, *rest))


# ── figures and words ────────────────────────────────────────────────────────────────────────

TENTHS = st.integers(1, 99).map(lambda n: n / 10)
SAYING = {
    "Front tread is {} mm.": TENTHS,
    "Rear pads are at {}.": TENTHS.filter(lambda x: x > 0.4),
    "Chain slack is {}, should be 25 to 35.": st.integers(10, 90),
    "Front tyre was {} psi, pumped it up to {}.": st.integers(21, 49),
    "Battery is at {} volts.": st.integers(100, 159).map(lambda n: n / 10),
    "Idle speed is {}.": st.integers(600, 2_000),
    "Rear disc is {} mm, minimum {}.": TENTHS,
    "Fork sag is {} mm, left mirror is loose.": st.integers(10, 60),
    "Brake fluid water content is {} percent.": TENTHS,
    "{} miles on the clock.": st.integers(1_000, 90_000),
}
said = st.sampled_from(sorted(SAYING)).flatmap(lambda s: st.tuples(st.just(s), SAYING[s], SAYING[s]))


@settings(max_examples=300, deadline=None)
@given(said)
def test_digits_and_number_words_give_the_same(case: tuple[str, float, float]) -> None:
    sentence, one, two = case
    in_digits = sentence.format(f"{one:g}", f"{two:g}")
    in_words = sentence.format(words(one), words(two))
    assert draft_lines(extract(in_words, jurisdiction="GB")) == draft_lines(
        extract(in_digits, jurisdiction="GB")
    )


# ── capitals ─────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("id_", params(GOLD))
def test_capitals_change_no_reading(id_: str) -> None:
    text, country = GOLD[id_]["text"], GOLD[id_]["jurisdiction"]
    assert readings(text.lower(), country) == readings(text, country) == readings(text.upper(), country)


def readings(text: str, jurisdiction: str | None) -> list[object]:
    found = [f for f in drafted(text, jurisdiction).findings if isinstance(f, Reading)]
    return [(*f.place, f.quantity, f.value, f.unit, f.limit, f.phase) for f in found]


@pytest.mark.parametrize("said", params(CASES))
def test_lower_case_changes_nothing(said: str) -> None:
    assert lines(said.lower(), CASES[said]) == lines(said, CASES[said])


@pytest.mark.parametrize("said", params(CASES))
def test_upper_case_changes_nothing(said: str) -> None:
    assert lines(said.upper(), CASES[said]) == lines(said, CASES[said])
