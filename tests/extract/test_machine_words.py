"""The machine's identity is shown with the words it was heard in."""

from __future__ import annotations

from witnessmark.extract import extract
from witnessmark.types import Draft, Recording, Transcript, Word

TALK = "Right then. Registration Kilo X-ray two one Whiskey Papa Tango. Eleven thousand miles on the clock."


def drafted(probability: float) -> Draft:
    """The talk with half a second a word; "Whiskey" is as probable as given."""
    words, at = [], 0
    for number, text in enumerate(TALK.split()):
        start = TALK.index(text, at)
        at = start + len(text)
        sure = probability if text == "Whiskey" else 0.9
        words.append(
            Word(
                text=text,
                char_start=start,
                char_end=at,
                start=number / 2,
                end=(number + 1) / 2,
                probability=sure,
            )
        )
    recording = Recording(sha256="0" * 64, name="talk.wav", duration=9.0)
    transcript = Transcript(recording=recording, text=TALK, words=tuple(words), model="given")
    return extract(TALK, jurisdiction="GB", transcript=transcript)


def test_registration_and_distance_have_their_words_and_seconds() -> None:
    machine = drafted(0.9).machine
    assert machine.registration == "KX21WPT"
    assert machine.odometer
    mark, distance = machine.evidence
    assert mark.text == "Registration Kilo X-ray two one Whiskey Papa Tango"
    assert (mark.start, mark.end) == (1.0, 5.0)
    assert distance.text.startswith("Eleven thousand")
    assert distance.start == 5.0
    assert machine.doubts == ()


def test_an_identity_that_was_not_heard_well_is_doubtful() -> None:
    (doubt,) = drafted(0.3).machine.doubts
    assert doubt.kind == "low_probability"


def test_an_identity_that_was_not_said_has_no_words() -> None:
    assert extract("The horn works.").machine.evidence == ()
