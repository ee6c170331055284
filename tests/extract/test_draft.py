"""Keys, evidence, doubts and confidence of what is drafted."""

from __future__ import annotations

from itertools import pairwise

import pytest

from witnessmark.extract import extract
from witnessmark.extract.draft import DOUBTS
from witnessmark.types import Draft, Item, Recording, Transcript, Word

TALK = (
    "Reg kilo tango one nine whisky bravo delta, 14,230 miles. Front tyre 2.5 mm, 34, should be 36. "
    "Both fork seals are dry. Rear pads might be worn. Chain slack was forty, no, sorry, forty-five, set it "
    "to thirty. The left forks eel is weeping. Horn doesn't work. Air filter is due."
)


def drafted(talk: str = TALK) -> Draft:
    return extract(talk, id="w-1", jurisdiction="GB")


def the(draft: Draft, component: str) -> Item:
    return next(item for item in draft.items if item.component == component)


def test_it_is_the_same_each_time() -> None:
    assert drafted() == drafted()


def test_id_jurisdiction_and_text_are_kept() -> None:
    draft = drafted()
    assert (draft.id, draft.jurisdiction, draft.text) == ("w-1", "GB", TALK)


def test_keys_are_unique_and_say_what_they_are_of() -> None:
    keys = [item.key for item in drafted().items]
    assert len(keys) == len(set(keys))
    assert {
        "tyre.front.tread_depth",
        "fork_seal.left.sound",
        "chain.slack.left",
        "air_filter.replace",
    } <= set(keys)


def test_a_key_does_not_hang_on_what_else_is_said() -> None:
    assert {i.key for i in drafted().items} <= {i.key for i in drafted(f"{TALK} Battery is flat.").items}


def test_a_second_of_a_kind_is_numbered() -> None:
    keys = [item.key for item in drafted("Rear tread is 1.2 in the middle, 2.4 at the edges.").items]
    assert keys == ["tyre.rear.tread_depth", "tyre.rear.tread_depth.2"]


def test_evidence_slices_the_text_and_holds_the_words() -> None:
    draft = drafted()
    for item in draft.items:
        (evidence,) = item.evidence
        assert evidence.text == draft.text[evidence.char_start : evidence.char_end] != ""
        assert evidence.start is None
    assert the(draft, "horn").evidence[0].text == "Horn doesn't work"


def test_why_names_rows_that_fired() -> None:
    draft = drafted()
    assert all(item.why for item in draft.items)
    assert the(draft, "horn").why == ("condition:inoperative",)
    assert the(draft, "chain").why == ("quantity:slack",)


@pytest.mark.parametrize(
    ("said", "doubt"),
    [
        ("Front tyre is at 34.", "unit_assumed"),
        ("Front tread is 25 mm.", "implausible"),
        ("Front tread is two five.", "digits_run_together"),
        ("Front tread is to point five.", "misheard_number"),
        ("Front break pads are worn.", "misheard_word"),
        ("Clutch free play is two to three mil.", "range_said"),
        ("Front pads are 2 mm, make that 3.", "corrected_in_speech"),
        ("Front disc might be cracked.", "hedged"),
        ("Front tyre date code 6019.", "impossible_date"),
        ("Front tyre date code 439.", "three_digit_date"),
    ],
)
def test_a_reason_to_look_again(said: str, doubt: str) -> None:
    (item,) = extract(said, jurisdiction="GB").items
    assert doubt in [d.kind for d in item.doubts]
    assert item.confidence < 0.97


def test_doubts_come_most_important_first_and_are_told_plainly() -> None:
    (item,) = extract("Front tyre is, I think, two hundred and ninety, make that nine hundred.").items
    kinds = [doubt.kind for doubt in item.doubts]
    assert len(kinds) > 1
    assert kinds == sorted(kinds, key=list(DOUBTS).index)
    assert [doubt.message for doubt in item.doubts] == [DOUBTS[kind] for kind in kinds]


def test_confidence_falls_with_each_doubt() -> None:
    sure = the(extract("Front pads are 3 mm."), "brake_pads").confidence
    unsure = the(extract("Front break pads are 3 mm."), "brake_pads").confidence
    both = the(extract("Front break pads are to point five."), "brake_pads").confidence
    assert 1 > sure > unsure > both > 0


def test_what_was_said_first_is_kept() -> None:
    (item,) = extract("Front pads are 2 mm, scratch that, 3 mm.").items
    assert item.said_first == "2"
    (item,) = extract("Left mirror is cracked, no, right.").items
    assert item.said_first == "Left mirror is cracked"


def spoken(text: str, **probability: float) -> Transcript:
    """A transcript in which each word lasts half a second."""
    words, at = [], 0
    for number, word in enumerate(text.split(" ")):
        bare = word.strip(".,")
        words.append(
            Word(
                text=word,
                char_start=at,
                char_end=at + len(word),
                start=number / 2,
                end=number / 2 + 0.5,
                probability=probability.get(bare, 0.99),
            )
        )
        at += len(word) + 1
    recording = Recording(sha256="0" * 64, name="walk.wav", duration=len(words) / 2)
    return Transcript(recording=recording, text=text, words=tuple(words), model="tiny")


def test_evidence_has_its_seconds() -> None:
    transcript = spoken("The horn works. Front pads are 3 mm. Chain is dry.")
    draft = extract(transcript.text, transcript=transcript)
    evidence = the(draft, "brake_pads").evidence[0]
    assert (evidence.text, evidence.start, evidence.end) == ("Front pads are 3 mm", 1.5, 4.0)
    starts = [item.evidence[0].start for item in draft.items]
    assert all(one < two for one, two in pairwise(starts) if one is not None and two is not None)


def test_words_that_were_hardly_heard_are_marked() -> None:
    transcript = spoken("Front pads are 3 mm. Chain is dry.", dry=0.3)
    draft = extract(transcript.text, transcript=transcript)
    assert "low_probability" in [d.kind for d in the(draft, "chain").doubts]
    assert the(draft, "brake_pads").doubts == ()


def test_of_a_reading_only_the_figure_has_to_be_heard() -> None:
    transcript = spoken("Front pads are 3 mm.", Front=0.2)
    assert the(extract(transcript.text, transcript=transcript), "brake_pads").doubts == ()
    transcript = spoken("Front pads are 3 mm.", **{"3": 0.2})
    doubts = the(extract(transcript.text, transcript=transcript), "brake_pads").doubts
    assert [d.kind for d in doubts] == ["low_probability"]


def test_a_figure_in_words_has_to_be_heard_too() -> None:
    transcript = spoken("Front pads are four point five mm.", five=0.2)
    doubts = the(extract(transcript.text, transcript=transcript), "brake_pads").doubts
    assert "low_probability" in [d.kind for d in doubts]
