"""What a recogniser invents is thrown away, what was said stays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe.guards import Segment, believable
from witnessmark.transcribe.words import Piece

PROMPT = (
    "Front tyre tread depth, rear tyre date code, psi, bar. Brake pads, brake disc runout, caliper, banjo."
)


def segment(
    text: str,
    start: float = 0.0,
    word: float = 0.3,
    log_probability: float = -0.3,
    no_speech: float = 0.01,
    probability: float = 0.9,
) -> Segment:
    """Words of equal length one after the other."""
    times = [start + i * word for i in range(len(text.split()) + 1)]
    words = [Piece(text, times[i], times[i + 1], probability) for i, text in enumerate(text.split())]
    return Segment(tuple(words), log_probability, no_speech)


def kept(*segments: Segment, prompt: str = PROMPT) -> str:
    return " ".join(w.text for w in believable(segments, prompt, speech()))


@pytest.mark.parametrize(
    "said",
    [
        "Front tyre tread depth is 2.5 millimetres.",
        "Front brake pads, 3.5.",
        "Tread depth, 4 millimetres, date code 2217.",
        "No, no, no, that's the rear.",
        "2.5, 2.5, 2.5, 2.5 all round.",
        "Tight, tight, tight, loose.",
        "Thank you, now the rear end.",
        "Caliper.",
    ],
)
def test_what_was_said_stays(said: str) -> None:
    assert kept(segment(said)) == said


@pytest.mark.parametrize("phantom", ["Thank you.", "Thanks for watching!", " you", "Bye-bye.", "Music", "♪"])
def test_a_phantom_alone_is_thrown_away(phantom: str) -> None:
    assert kept(segment("Lever is firm."), segment(phantom, start=5)) == "Lever is firm."


@pytest.mark.parametrize(
    "echo",
    [
        PROMPT,
        "Front tyre tread depth, rear tyre date code, psi,",
        "Brake pads, brake disc runout, caliper, banjo.",
        "rear tyre date code, psi, bar, brake pads",
    ],
)
def test_an_echo_of_the_prompt_is_thrown_away(echo: str) -> None:
    assert kept(segment(echo, probability=0.2)) == ""
    assert kept(segment(echo, probability=0.2), prompt="") == echo


def test_talk_that_happens_to_be_like_the_prompt_stays() -> None:
    """The engine gives a word's probability without the prompt: only what is heard is probable."""
    said = "Brake pads, brake disc runout, caliper, banjo."
    assert kept(segment(said, probability=0.7)) == said


def test_a_loop_is_cut_to_its_first_round() -> None:
    assert kept(segment("Now: " + "the chain is dry. " * 6)) == "Now: the chain is dry."
    assert kept(segment("Disc " + "340, " * 30)) == "Disc 340,"


def test_a_loop_over_several_segments() -> None:
    rounds = [segment("It's going to be okay.", start=3.0 * i) for i in range(5)]
    assert kept(*rounds) == "It's going to be okay."


def test_talk_after_a_loop_stays() -> None:
    assert kept(segment("good " * 9 + "rear disc is cracked.")) == "good rear disc is cracked."


def test_a_loop_where_nobody_seems_to_speak_is_thrown_away() -> None:
    assert kept(segment("I'm sorry, " * 20, no_speech=0.8, log_probability=-0.1)) == ""
    assert kept(segment("I'm sorry, " * 20, no_speech=0.3, log_probability=-0.1)) == "I'm sorry,"


def test_noise_is_thrown_away() -> None:
    assert kept(segment("Side stand.", log_probability=-1.3, probability=0.01)) == ""
    assert kept(segment("I know the way", log_probability=-0.9, no_speech=0.8)) == ""
    assert kept(segment("I know the way", log_probability=-1.6, no_speech=0.1)) == ""


def test_quiet_doubtful_talk_stays() -> None:
    assert kept(segment("Fork seal is weeping.", log_probability=-0.9, no_speech=0.3))
    assert kept(segment("Fork seal is weeping.", log_probability=-0.4, no_speech=0.9))


def test_faster_than_anybody_speaks() -> None:
    assert kept(segment("and the brake is firm", word=0.05)) == ""
    assert kept(segment("and the brake is firm", word=0.2))


def test_a_loop_crammed_into_its_first_round_is_cut_not_thrown_away() -> None:
    looped = segment("Tread is 2.5 in the centre, " + "in the same way, " * 9, word=0.1)
    assert kept(looped) == ""
    slow = tuple(w._replace(start=i * 0.3, end=i * 0.3 + 0.3) for i, w in enumerate(looped.words[:10]))
    crammed = looped._replace(words=(*slow, *(w._replace(start=3.0, end=3.0) for w in looped.words[10:])))
    assert kept(crammed) == "Tread is 2.5 in the centre, in the same way,"


def test_a_segment_without_words() -> None:
    assert kept(Segment((), -0.1, 0.1)) == ""


@given(st.lists(st.sampled_from(["good", "bad", "2.5", "tyre", "is"]), max_size=40))
def test_guards_only_take_away(words: list[str]) -> None:
    left = kept(segment(" ".join(words)), prompt="").split()
    rest = iter(words)
    assert all(word in rest for word in left)
