"""Noun phrases: which part is named, with the place words that belong to it."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.extract.heads import component_of, find_heads, is_plural
from witnessmark.extract.lookup import Mention
from witnessmark.extract.placewords import usable_places
from witnessmark.extract.talk import Part, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Side

_DETERMINERS = word_set("determiners")
_FITTINGS = word_set("fittings")
_NOT_FITTINGS = word_set("no_fittings")
_ARTICLES = frozenset(
    ["the", "a", "an", "on", "at", "of", "its", "this", "that", "my", "our", "your", "to", "in"]
)
_AFTER_TWO = frozenset(
    ("i", "are", "were", "work", "have", "both", "could", "can", "is", "do", "need", "want", "look")
)
_LINKS = frozenset(
    [
        "is",
        "'s",
        "are",
        "was",
        "were",
        "has",
        "have",
        "had",
        "feels",
        "looks",
        "reads",
        "and",
        "or",
        "also",
        ",",
        ":",
        "-",
        "at",
        "on",
        "does",
        "did",
    ]
)


def find_parts(talk: Talk) -> list[Part]:
    """All parts and bare places, in order. Shared words are read by what was spoken of before."""
    heads = find_heads(talk)
    places = usable_places(talk, heads)
    by_token = {i: m for m in places for i in range(m.start, m.end)}
    starts = {h.start: h for h in heads}
    spoken: list[str] = []
    parts: list[Part] = []
    used: set[int] = set()
    for head in heads:
        if (
            parts
            and (parts[-1].end == head.start or _hangs_on(talk, parts[-1].end, head))
            and talk.norms[head.end - 1] not in _NOT_FITTINGS
            and (
                head.family == "shared" or head.id in ("fasteners", "spring") or talk.at(head.start) == "oil"
            )
        ):
            parts[-1].end = head.end  # "clamp bolts", "cap seal": what hangs on a part belongs to it
            parts[-1].head = (parts[-1].head[0], head.end)
            used.update(range(head.start, head.end))
            continue
        placed = any(p.rows[0].data["axis"] == "end" for p in talk.ending(places, head.start))
        component = component_of(head, spoken, placed)
        if component is None:
            continue
        spoken.append(component)
        start, before = _left(talk, head, by_token, used)
        end, after = _right(talk, head, by_token, starts)
        used.update(range(start, end))
        part = Part(start, end, (head.start, head.end), component, rule=head.rows[0].name)
        part.plural = is_plural(talk, head)
        part.pointed = talk.at(start) in ("that", "this", "those", "these", "its")
        own = head.rows[0].data
        _place(talk, part, [*before, *after])
        if own.get("end"):
            part.ends = (own["end"],)
        if component in vocabulary().sideless:
            part.sides = ()
        parts.append(part)
    zones = _zones(talk, used)
    used.update(i for z in zones for i in range(z.start, z.end))
    parts.extend(zones)
    parts.extend(_bare_places(talk, places, used))
    return sorted(parts, key=lambda p: p.start)


def _hangs_on(talk: Talk, end: int, head: Mention) -> bool:
    """ "cap's seal", "shock's bottom bolt", "carb drain screw": a fitting of the part named before it."""
    between = [w for w in talk.norms[end : head.start] if w != "'s"]
    fitting = all(w in _FITTINGS for w in between) and len(between) <= 1
    return fitting and 0 < head.start - end <= 2


def _left(
    talk: Talk, head: Mention, by_token: dict[int, Mention], used: set[int]
) -> tuple[int, list[Mention]]:
    """Start of the phrase and the place words before the name."""
    at = head.start
    found: list[Mention] = []
    while at > 0 and at - 1 not in used:
        previous = by_token.get(at - 1)
        if previous and previous.id == "same":
            break
        if previous and previous.id == "other" and talk.at(previous.start - 1) == "same":
            break  # "same on the other side | brake fluid is black"
        if previous and (
            talk.at(previous.end - 1) in ("one", "ones", "them") or _second_place(talk, previous, found, at)
        ):
            break
        if (
            talk.at(at - 1) in ("these", "those", "them", "both")
            and not is_plural(talk, head)
            and not previous
        ):
            break
        if previous:
            found.append(previous)
            at = previous.start
        elif (
            talk.at(at - 1) in _DETERMINERS
            or (
                talk.at(at - 1) in ("and", "nor", "or")
                and found
                and at - 2 in by_token
                and by_token[at - 2].end == at - 1
            )
            or (talk.at(at - 1) == "brake" and found)
        ):
            at -= 1
        else:
            break
    return at, found[::-1]


def _second_place(talk: Talk, place: Mention, found: list[Mention], at: int) -> bool:
    """Whether a place word belongs to what stands before: "thirty-six rear | front pads"."""
    axis = place.rows[0].data["axis"]
    same = [f for f in found if f.rows[0].data["axis"] == axis and axis in ("end", "side")]
    sided = any(f.rows[0].data["axis"] == "side" for f in found)
    if axis == "both" and sided and talk.at(place.start - 1) in ("on", "in", "at", "of"):
        return True  # "no scoring on either | left pads two"
    return bool(same) and talk.at(at) not in ("and", "or", "nor")


def _right(
    talk: Talk, head: Mention, by_token: dict[int, Mention], starts: dict[int, Mention]
) -> tuple[int, list[Mention]]:
    """End of the phrase and the place words that follow the name."""
    found: list[Mention] = []
    end = at = head.end
    while True:
        step = at
        while (
            talk.at(step) in ("on", "at", "the", "and", ",", "to", "for", "next", "now", "first", "in")
            and step - at < 3
        ):
            if talk.at(step) == "," and found:
                break
            step += 1
        mention = by_token.get(step)
        if mention is None or not _closes(
            talk, mention, starts, after_comma="," in [talk.at(i) for i in range(at, step)]
        ):
            return end, found
        found.append(mention)
        end = at = mention.end


def _closes(talk: Talk, mention: Mention, starts: dict[int, Mention], after_comma: bool) -> bool:
    """Whether a place word ends the phrase before it rather than beginning the next."""
    at = mention.end
    if mention.id == "same" or mention.id in ("other", "others"):
        return False
    while talk.at(at) in _DETERMINERS or talk.at(at) in ("and", "hand", "side", "brake"):
        at += 1
    if at in starts or (
        any(m.end > at for m in talk.between(talk.of("place"), at - 4, at + 1))
        and any(s - at in (1, 2) for s in starts)
    ):
        return False
    if after_comma:
        return talk.at(mention.end) in (".", ",", ":", "", ";") and mention.id in (
            "front",
            "rear",
            "both",
            "ends_both",
            "left",
            "right",
            "corners",
        )
    if talk.at(mention.end) in ("one", "ones"):
        return False
    return not (talk.at(mention.start - 1) in ("the", ",") and talk.at(mention.end) in ("is", "'s", "was"))


def _place(talk: Talk, part: Part, mentions: Sequence[Mention]) -> None:
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


def _bare_places(talk: Talk, places: Sequence[Mention], used: set[int]) -> list[Part]:
    """Place words that belong to no name: "the left one", "rear 2.4", "either side"."""
    out: list[Part] = []
    for mention in places:
        if used & set(range(mention.start, mention.end)):
            continue
        if (
            out
            and _joined(talk, out[-1].end, mention.start)
            and not _another_end(talk, out[-1], mention)
            and not (out[-1].word and talk.at(mention.end) in ("is", "was", "'s", "are"))
        ):
            previous = out[-1]
            extra = Part(mention.start, mention.end, (mention.start, mention.end), None)
            _place(talk, extra, [mention])
            previous.ends = tuple(dict.fromkeys((*previous.ends, *extra.ends)))
            previous.sides = tuple(dict.fromkeys((*previous.sides, *extra.sides)))
            previous.word = "+".join(w for w in (previous.word, extra.word) if w)
            previous.pairs = previous.pairs or extra.pairs
            previous.end = mention.end
            continue
        start = mention.start - 1 if talk.at(mention.start - 1) in ("the", "its") else mention.start
        number = talk.number_at(mention.end)
        plain = number is None or number.end == mention.end + 1
        two = talk.at(mention.end) == "two" and plain and talk.at(mention.end + 1) in _AFTER_TWO
        end = mention.end + ((talk.at(mention.end) in ("one", "ones", "side", "pair") and plain) or two)
        part = Part(start, end, (mention.start, mention.end), None, rule=f"place:{mention.id}")
        part.plural = talk.at(end - 1) in ("ones", "fronts", "rears", "lefts", "rights", "two", "pair")
        _place(talk, part, [mention])
        out.append(part)
    return out


def _another_end(talk: Talk, previous: Part, mention: Mention) -> bool:
    """ "off the front | the rear ones work": a second end that nothing joins to the first."""
    apart = talk.norms[previous.end : mention.start] == ["the"]
    return apart and bool(previous.ends) and mention.rows[0].data["axis"] == "end"


def _joined(talk: Talk, end: int, start: int) -> bool:
    between = [talk.at(i) for i in range(end, start)]
    return (
        start >= end
        and len(between) <= 2
        and all(w in ("and", "or", "hand", "nor", "on", "the", "at", "for", "in", "as") for w in between)
    )


def _zones(talk: Talk, used: set[int]) -> list[Part]:
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
