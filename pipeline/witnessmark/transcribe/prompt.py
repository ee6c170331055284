"""Writes the vocabulary prompt: words of the trade that the recogniser should expect. Pure.

The recogniser takes over the style of its prompt: from bare terms it learns to print bare terms, from
sentences to print sentences.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

_ENDS = ".!?,;:"


def vocabulary_prompt(terms: Iterable[str], count_tokens: Callable[[str], int], limit: int = 200) -> str:
    """As many of the terms, from the first on, as fit.

    Args:
        terms: words, phrases or sentences, most useful first; repeated and empty ones are left out. One
            that does not end with a stop is followed by a comma.
        count_tokens: how many tokens the recogniser makes of a text.
        limit: most tokens that the prompt may have.

    Returns:
        The prompt, with a capital and a full stop; empty when not even one term fits.
    """
    fitting = ""
    taken: list[str] = []
    for term in dict.fromkeys(cleaned for term in terms if (cleaned := " ".join(term.split()))):
        taken.append(term if term[-1] in _ENDS else f"{term},")
        longer = _text(taken)
        if count_tokens(longer) > limit:
            break
        fitting = longer
    return fitting


def _text(terms: list[str]) -> str:
    text = " ".join(terms)
    return f"{text[0].upper()}{text[1:].rstrip(',;:')}{'' if text[-1] in '.!?' else '.'}"
