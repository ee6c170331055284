"""The vocabulary prompt keeps whole terms, in order, within its limit."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from witnessmark.knowledge.speech import speech
from witnessmark.transcribe import vocabulary_prompt

TERMS = st.lists(st.text(st.sampled_from("abc xyz."), min_size=1, max_size=12), max_size=30)


def letters(text: str) -> int:
    return len(text)


def test_terms_become_a_sentence() -> None:
    assert vocabulary_prompt(["front tyre", "psi"], letters) == "Front tyre, psi."


def test_sentences_stay_sentences() -> None:
    said = ["Tyre tread, psi.", "Seal weeping.", "lever"]
    assert vocabulary_prompt(said, letters) == "Tyre tread, psi. Seal weeping. lever."


def test_terms_that_do_not_fit_are_left_off_whole() -> None:
    assert vocabulary_prompt(["tyre", "stanchion", "psi"], letters, limit=10) == "Tyre."


def test_not_one_fits() -> None:
    assert vocabulary_prompt(["stanchion"], letters, limit=5) == ""
    assert vocabulary_prompt([], letters) == ""


def test_repeated_and_empty_terms_are_left_out() -> None:
    assert vocabulary_prompt(["psi", " ", "psi ", "bar"], letters) == "Psi, bar."


@given(TERMS, st.integers(0, 120))
def test_it_is_a_beginning_within_the_limit(terms: list[str], limit: int) -> None:
    prompt = vocabulary_prompt(terms, letters, limit)
    whole = vocabulary_prompt(terms, letters, 10_000)
    assert len(prompt) <= limit
    assert whole.startswith(prompt[:-1])


@given(TERMS, st.integers(0, 120))
def test_no_further_term_would_fit(terms: list[str], limit: int) -> None:
    clean = list(dict.fromkeys(" ".join(t.split()) for t in terms if t.split()))
    prompt = vocabulary_prompt(terms, letters, limit)
    fits = [n for n in range(len(clean) + 1) if vocabulary_prompt(clean[:n], letters, 10_000) == prompt]
    assert fits
    longer = clean[: fits[-1] + 1]
    assert fits[-1] == len(clean) or len(vocabulary_prompt(longer, letters, 10_000)) > limit


def test_the_declared_prompt_holds_no_figures() -> None:
    """A figure in the prompt draws spoken figures towards it."""
    assert not [t for t in speech().prompt if any(c.isdigit() for c in t)]
