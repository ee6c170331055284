"""Writes the vocabulary prompt: words of the trade that the recogniser should expect. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable


def vocabulary_prompt(terms: Iterable[str], count_tokens: Callable[[str], int], limit: int = 200) -> str:
    """As many of the terms, from the first on, as fit, written as one sentence.

    A sentence with a capital and a full stop, because the recogniser takes over the style of its prompt.

    Args:
        terms: most useful first; repeated and empty ones are left out.
        count_tokens: how many tokens the recogniser makes of a text.
        limit: most tokens that the prompt may have.

    Returns:
        The prompt, empty when not even one term fits.
    """
    fitting = ""
    taken: list[str] = []
    for term in dict.fromkeys(cleaned for term in terms if (cleaned := " ".join(term.split()))):
        taken.append(term)
        longer = _sentence(taken)
        if count_tokens(longer) > limit:
            break
        fitting = longer
    return fitting


def _sentence(terms: list[str]) -> str:
    listed = ", ".join(terms)
    return f"{listed[0].upper()}{listed[1:]}."
