"""Places said without the name of a part: "the left one", "either side", "front end now"."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Part, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.types import End, Side

_AFTER_TWO = word_set("after_two")


def place_part(talk: Talk, part: Part, mentions: Sequence[Mention]) -> None:
    """Writes what place words say into a part."""
    ends: list[End] = []
    sides: list[Side] = []
    for mention in mentions:
        axis = mention.rows[0].data["axis"]
        if axis == "end":
            ends.append(mention.id)  # type: ignore[arg-type]
        elif axis == "side":
            sides.append(mention.id)  # type: ignore[arg-type]
        elif axis in ("kerb", "far"):
            sides.append("left" if (axis == "kerb") == talk.keeps_left else "right")
        elif axis == "ends_both":
            ends = ["front", "rear"]
        elif axis == "corners":
            part.pairs = (("front", "left"), ("front", "right"), ("rear", "left"), ("rear", "right"))
        elif axis in ("both", "other", "others", "same", "that"):
            part.word = f"{part.word}+{axis}" if part.word else axis
    part.ends, part.sides = tuple(dict.fromkeys(ends)), tuple(dict.fromkeys(sides))


def bare_places(talk: Talk, places: Sequence[Mention], used: set[int]) -> list[Part]:
    """Place words that belong to no name: "the left one", "rear 2.4", "either side"."""
    out: list[Part] = []
    for mention in places:
        if used & set(range(mention.start, mention.end)) or _compared_with(talk, mention):
            continue
        if (
            out
            and _joined(talk, out[-1].end, mention.start)
            and not _another_end(talk, out[-1], mention)
            and not (out[-1].word and talk.at(mention.end) in ("is", "was", "'s", "are"))
        ):
            previous = out[-1]
            extra = Part(mention.start, mention.end, (mention.start, mention.end), None)
            place_part(talk, extra, [mention])
            previous.ends = tuple(dict.fromkeys((*previous.ends, *extra.ends)))
            previous.sides = tuple(dict.fromkeys((*previous.sides, *extra.sides)))
            previous.word = "+".join(w for w in (previous.word, extra.word) if w)
            previous.pairs = previous.pairs or extra.pairs
            previous.end = mention.end
            continue
        start = mention.start - 1 if talk.at(mention.start - 1) in ("the", "its") else mention.start
        number = talk.number_at(mention.end)
        plain = number is None or number.end == mention.end + 1
        plain = plain and not talk.starting(talk.of("unit"), mention.end + 1)  # "rear | one percent"
        two = talk.at(mention.end) == "two" and plain and talk.at(mention.end + 1) in _AFTER_TWO
        end = mention.end + ((talk.at(mention.end) in ("one", "ones", "side", "pair") and plain) or two)
        part = Part(start, end, (mention.start, mention.end), None, rule=f"place:{mention.id}")
        part.plural = talk.at(end - 1) in ("ones", "fronts", "rears", "lefts", "rights", "two", "pair")
        place_part(talk, part, [mention])
        out.append(part)
    return out


def _compared_with(talk: Talk, mention: Mention) -> bool:
    """ "the same week as the front", "unlike the back": only held against what is spoken of."""
    at = mention.start - (talk.at(mention.start - 1) in ("the", "its"))
    likened = talk.at(at - 1) == "as" and talk.at(at - 2) not in ("same", "well")
    ends = not talk.at(mention.end).isalpha()
    return ends and mention.rows[0].data["axis"] == "end" and (likened or talk.at(at - 1) == "unlike")


def _another_end(talk: Talk, previous: Part, mention: Mention) -> bool:
    """ "off the front | the rear ones work": a second end that nothing joins to the first."""
    apart = talk.norms[previous.end : mention.start] == ["the"]
    return apart and bool(previous.ends) and mention.rows[0].data["axis"] == "end"


def _joined(talk: Talk, end: int, start: int) -> bool:
    between = [talk.at(i) for i in range(end, start)]
    return (
        start >= end
        and len(between) <= 2 + (between[:1] == ["as"])
        and all(w in ("and", "or", "hand", "nor", "on", "the", "at", "for", "in", "as") for w in between)
    )


def zones(talk: Talk, used: set[int]) -> list[Part]:
    """Headings that name no part: "front end now", "electrics"."""
    out = []
    names = {i for f in ("part", "shared") for m in talk.of(f) for i in range(m.start, m.end)}
    for mention in talk.of("zone"):
        if talk.at(mention.end - 1) == "rest" and talk.at(mention.end) in (
            "are",
            "is",
            "'s",
            "all",
            "work",
            "both",
            "of",
        ):
            continue  # "the rest are all right"
        tokens = set(range(mention.start, mention.end))
        if (
            tokens & used
            or tokens & talk.taken
            or tokens & names
            or (len(tokens) == 1 and mention.id != "none")
        ):
            continue
        ends: tuple[End, ...] = () if mention.id == "none" else (mention.id,)  # type: ignore[assignment]
        out.append(Part(mention.start, mention.end, (mention.start, mention.end), None, ends, word="zone"))
    return out
