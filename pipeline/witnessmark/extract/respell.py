"""Gives a Doc the norms of the words that were meant, without touching its text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from witnessmark.extract.misheard import Swap

if TYPE_CHECKING:
    from spacy.tokens import Doc


def respell(
    doc: Doc, said: Sequence[str], swaps: Sequence[Swap], before: dict[int, str]
) -> tuple[Doc, list[str], dict[int, str]]:
    """A Doc of the same text in which each swap's tokens carry the meant norms.

    Args:
        doc: the talk.
        said: its norms.
        swaps: what to respell, in order.
        before: tokens of ``doc`` respelled earlier, and what was printed there.

    Returns:
        The new Doc, its norms, and for each of its changed tokens what was printed there.
    """
    from spacy.tokens import Doc

    words: list[str] = []
    spaces: list[bool] = []
    norms: list[str] = []
    printed: dict[int, str] = {}
    at = 0
    for swap in [*swaps, Swap(len(doc), len(doc), ())]:
        for index in range(at, swap.start):
            token = doc[index]
            if index in before:
                printed[len(words)] = before[index]
            words.append(token.text)
            spaces.append(bool(token.whitespace_))
            norms.append(said[index])
        if swap.end > swap.start:
            span = doc[swap.start : swap.end]
            for text, space, norm in _cut(span.text_with_ws, swap.meant, [t.text_with_ws for t in span]):
                printed[len(words)] = span.text
                words.append(text)
                spaces.append(space)
                norms.append(norm)
        at = swap.end
    new = Doc(doc.vocab, words=words, spaces=spaces)
    for token, norm in zip(new, norms, strict=True):
        token.norm_ = norm
    return new, norms, printed


def _cut(text: str, meant: tuple[str, ...], tokens: list[str]) -> list[tuple[str, bool, str]]:
    """``text`` in as many pieces as words were meant: at token borders where they suffice."""
    count = len(meant)
    if len(tokens) >= count:
        pieces = [*tokens[: count - 1], "".join(tokens[count - 1 :])]
    else:
        step = max(1, len(text.rstrip()) // count)
        pieces = [text[i * step : (i + 1) * step] for i in range(count - 1)]
        pieces.append(text[(count - 1) * step :])
    return [
        (p.rstrip(" ") or p, p.endswith(" ") and len(p.rstrip(" ")) == len(p) - 1, m)
        for p, m in zip(pieces, meant, strict=True)
    ]
