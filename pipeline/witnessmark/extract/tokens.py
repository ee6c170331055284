"""Splits talk into tokens whose NORM is what the lexicon is written in.

A hyphen inside a word stays on the token before it ("near-" "side"), so that "near-side" and "near side" are
the same two words; digits and letters part ("3.5" "mm", "120" "/" "70" "ZR" "17"); "n't" has the norm "not".
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from witnessmark.knowledge.phrases import spellings

if TYPE_CHECKING:
    from spacy.tokens import Doc
    from spacy.vocab import Vocab

_SPLIT_NT = re.compile(
    r"^(ai|do|does|did|is|was|were|are|has|have|had|could|would|should|wo|ca|must|need)(n['’]?t)$",
    re.IGNORECASE,
)
_SPLIT_S = re.compile(r"^(that|there|here|what|where)(s)$", re.IGNORECASE)
_NT_END = re.compile(r"^(\w+)(n['’]t)$", re.IGNORECASE)

_CHUNK = re.compile(
    r"\s+|\d(?:-\d){2,}(?!\d)|\d{1,3}(?:,\d{3})+(?:\.\d+)?(?!\d)|\d*\.\d+|\d+|['’](?:s|ve|d|ll|re|m|em)\b"
    r"|[¼-¾⅐-⅞]|[^\W\d_¼-¾⅐-⅞]+(?:['’]t\b)?-?|\.{2,}|…|.",
    re.IGNORECASE | re.DOTALL,
)


def pieces(text: str) -> list[str]:
    """``text`` cut into tokens and runs of white space; joined they are ``text`` again."""
    out: list[str] = []
    for piece in _CHUNK.findall(text):
        split = _SPLIT_NT.match(piece) or _NT_END.match(piece) or _SPLIT_S.match(piece)
        out.extend(split.groups() if split else (piece,))
    return out


def norm_of(piece: str) -> str:
    """The form in which the lexicon knows a token."""
    low = piece.lower().replace("’", "'")
    if len(low) > 1 and low.endswith("-"):
        low = low[:-1]
    if low[:1].isdigit() and ("," in low or "-" in low):
        return low.replace(",", "").replace("-", "")
    return spellings().get(low, low)


class TalkTokenizer:
    """A spaCy tokenizer for talk; ``doc.text`` is always the text it was given."""

    def __init__(self, vocab: Vocab) -> None:
        self.vocab = vocab

    def __call__(self, text: str) -> Doc:
        """Tokens with NORM set. White space that is not one blank becomes tokens of its own."""
        from spacy.tokens import Doc

        words: list[str] = []
        spaces: list[bool] = []
        norms: list[str] = []
        for piece in pieces(text):
            if piece.isspace():
                blank = piece
                if spaces and not spaces[-1] and blank[0] == " ":
                    spaces[-1] = True
                    blank = blank[1:]
                if blank:
                    words.append(blank)
                    spaces.append(False)
                    norms.append("\n" if "\n" in blank else " ")
                continue
            low = piece.lower()
            joined_s = low == "s" and words and words[-1].lower() in _BEFORE_S and not spaces[-1]
            words.append(piece)
            spaces.append(False)
            norms.append("'s" if joined_s else norm_of(piece))
        for at, word in enumerate(words):
            if word.lower() in _BEFORE_NT and norms[at + 1 : at + 2] != ["not"]:
                norms[at] = word.lower()  # "registration CA 418 227"
        doc = Doc(self.vocab, words=words, spaces=spaces)
        for token, norm in zip(doc, norms, strict=True):
            token.norm_ = norm
        return doc


_BEFORE_NT = {"ca", "wo"}
"""Halves of "can't" and "won't", which mean something else by themselves."""
_BEFORE_S = {"that", "there", "here", "what", "where"}
