"""Noun phrases: which part is named, with the place words that belong to it."""

from __future__ import annotations

from witnessmark.extract.bareplaces import bare_places, place_part, zones
from witnessmark.extract.heads import component_of, find_heads, is_plural
from witnessmark.extract.lookup import Mention
from witnessmark.extract.placewords import usable_places
from witnessmark.extract.talk import Part, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

_DETERMINERS = word_set("determiners")
_FITTINGS = word_set("fittings")
_NOT_FITTINGS = word_set("no_fittings")
_ARTICLES = word_set("articles")
_LINKS = word_set("name_links")
_NEXT = 6
"""Words to the name that decides what a shared word before it names."""


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
        component = component_of(head, spoken, placed) or _by_next(talk, head, heads)
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
        place_part(talk, part, [*before, *after])
        if own.get("end"):
            part.ends = (own["end"],)
        if component in vocabulary().sideless:
            part.sides = ()
        parts.append(part)
    stretches = zones(talk, used)
    used.update(i for z in stretches for i in range(z.start, z.end))
    parts.extend(stretches)
    parts.extend(bare_places(talk, places, used))
    return sorted(parts, key=lambda p: p.start)


def _hangs_on(talk: Talk, end: int, head: Mention) -> bool:
    """ "cap's seal", "shock's bottom bolt", "carb drain screw": a fitting of the part named before it."""
    between = [w for w in talk.norms[end : head.start] if w != "'s"]
    fitting = all(w in _FITTINGS for w in between) and len(between) <= 1
    return fitting and 0 < head.start - end <= 2


def _by_next(talk: Talk, head: Mention, heads: list[Mention]) -> str | None:
    """ "Main and dip both work", "Main's dead, dip's good": what is named next decides."""
    if head.family == "part" or not head.rows[0].data.get("ahead"):
        return None
    after = next(iter(talk.between(heads, head.end, head.end + _NEXT + 1)), None)
    if after is None or after.family != "part" or "." in talk.norms[head.end : after.start]:
        return None
    near: dict[str, str] = head.rows[0].data["near"]
    return near.get(after.id) if after.start - head.end <= _NEXT else None


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
                and found[-1].rows[0].data["axis"] != "both"
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
            talk, mention, starts, "," in [talk.at(i) for i in range(at, step)], (head.end,)
        ):
            return end, found
        found.append(mention)
        end = at = mention.end


def _closes(
    talk: Talk, mention: Mention, starts: dict[int, Mention], after_comma: bool, named_to: tuple[int, ...]
) -> bool:
    """Whether a place word ends the phrase before it rather than beginning the next.

    Args:
        talk: the talk.
        mention: the place word.
        starts: names of parts by their first token.
        after_comma: whether a comma stands between the two.
        named_to: the token after the name.
    """
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
    if talk.at(mention.end - 1) in ("one", "ones") and talk.at(mention.end) in (
        "is",
        "'s",
        "are",
        "was",
        "has",
    ):
        return False  # "down the leg | right one is not leaking"
    led = talk.at(mention.start - 1) == "the" and talk.at(mention.start - 2) in ("on", "at", "in")
    if led and talk.at(mention.end) in ("is", "'s", "was", "are", "were"):
        return mention.start - 2 in named_to  # "the mirror on the left is missing"
    return not (talk.at(mention.start - 1) in ("the", ",") and talk.at(mention.end) in ("is", "'s", "was"))
