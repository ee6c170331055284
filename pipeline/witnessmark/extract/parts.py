"""Noun phrases: which part is named, with the place words that belong to it."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Part, Talk
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Side

_DETERMINERS = frozenset(
    "the a an my its this that these those his her our their your of them all any each every hand other only".split()
)
_ARTICLES = frozenset("the a an on at of its this that my our your to in".split())
_NOT_BACK = frozenset("to from on off in up with together down home round and out again into for at by over".split())
_LINKS = frozenset("is 's are was were has have had feels looks reads and or also , : - at on does did".split())


def find_parts(talk: Talk) -> list[Part]:
    """All parts and bare places, in order. Shared words are read by what was spoken of before."""
    heads = _heads(talk)
    places = _usable_places(talk, heads)
    by_token = {i: m for m in places for i in range(m.start, m.end)}
    starts = {h.start: h for h in heads}
    spoken: list[str] = []
    parts: list[Part] = []
    used: set[int] = set()
    for head in heads:
        if parts and parts[-1].end == head.start and (head.family == "shared" or head.id == "fasteners" or talk.at(head.start) == "oil"):
            parts[-1].end = head.end  # "clamp bolts", "cap seal": what hangs on a part belongs to it
            parts[-1].head = (parts[-1].head[0], head.end)
            used.update(range(head.start, head.end))
            continue
        component = _component(head, spoken)
        if component is None:
            continue
        spoken.append(component)
        start, before = _left(talk, head, by_token, used)
        end, after = _right(talk, head, by_token, starts)
        used.update(range(start, end))
        part = Part(start, end, (head.start, head.end), component, rule=head.rows[0].name)
        part.plural = _is_plural(talk, head)
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


def _heads(talk: Talk) -> list[Mention]:
    """Part names that are not the machine's identity, a unit or inside a limit's own words."""
    units = {i for m in talk.measures if m.unit for i in range(m.number.end, m.end)}
    longer = [p for p in talk.of("place") if p.end - p.start > 1]
    both = sorted((*talk.of("part"), *talk.of("shared")), key=lambda m: m.start)
    return [
        m
        for m in both
        if not (set(range(m.start, m.end)) & (talk.taken | units))
        and not any(p.start <= m.start and m.end <= p.end and p.end - p.start > m.end - m.start for p in longer)
        and not any(c.start <= m.start and m.end <= c.end and c.end - c.start > 1 for c in (*talk.of("limit"), *talk.cues("unseen")))
        and not _is_figure_of_speech(talk, m)
    ]


def _is_figure_of_speech(talk: Talk, head: Mention) -> bool:
    """ "with the engine running", "comes back to the bar": words of parts that name none."""
    word, before, after = talk.at(head.start), talk.at(head.start - 1), talk.at(head.end)
    if word in ("bar", "bars") and head.end - head.start == 1 and before == "the" and talk.at(head.start - 2) in ("to", "against", "off"):
        return True
    if word == "engine" and after in ("running", "off", "cold", "warm", "hot", "stopped", "speed"):
        return True
    if word == "lead" and before not in ("a", "the", "earth", "plug"):
        return True
    return word in ("oil", "play", "races") and before in ("of", "no", "any") and head.end - head.start == 1 and word != "oil"


def _usable_places(talk: Talk, heads: Sequence[Mention]) -> list[Mention]:
    inside = {i for h in heads for i in range(h.start, h.end)}
    words = {i for m in (*talk.of("condition"), *talk.cues("unseen"), *talk.cues("correct")) if m.end - m.start > 1 for i in range(m.start, m.end)}
    out = []
    for mention in talk.of("place"):
        tokens = set(range(mention.start, mention.end))
        if mention.rows[0].data["axis"] == "both" and _of_a_limit(talk, mention):
            continue
        if tokens & talk.taken or tokens & inside or (tokens & words and len(tokens) == 1):
            continue
        if not _is_idiom(talk, mention):
            out.append(mention)
    return out


def _of_a_limit(talk: Talk, mention: Mention) -> bool:
    """ "minimum 4 on both", "for both the limit is 1.6": what is both is the limit."""
    for said in talk.limits:
        start, end = min(said.start, mention.start), max(said.end, mention.end)
        marks = [w for w in talk.norms[start:end] if w in (".", ",", "?", ";", "and", "but", "so")]
        if not marks and end - start <= 14 and (mention.start >= said.start - 8 and mention.start <= said.end + 2):
            return True
    return False


def _is_idiom(talk: Talk, mention: Mention) -> bool:
    """Place words used otherwise: "right, next", "comes back", "2 mm left", "in front of"."""
    word, before, after = talk.at(mention.start), talk.at(mention.start - 1), talk.at(mention.end)
    if before == "not" or after in ("shoulder", "shoulders", "flank", "edge", "wall"):
        return True
    if mention.end - mention.start > 1:
        return False
    if word == "right" and after == ",":
        return before in ("", ".", "?", "!", "okay", "ok", "so", "\n")
    if word == "right":
        return after in ("then", "so", "now", "this", "at", "on", "down", "up", "through", "back", "to", "i", "we", "in", "let", "where", "round", "across", "here", "there", "way", "size", "next", "over", "along", "that", "ok", "okay", "it", "by") or (before in ("", ".", "all", "alright", "'s", "just") and after in (".", "", "!")) or before in ("all",)
    if word == "left":
        measured = any(m.end == mention.start for m in talk.measures) or before in ("meat", "life", "tread", "material", "plenty", "bit", "much", "rubber", "it", "i", "we", "been", "friction")
        return (measured and not _mirrored(talk, mention)) or after in ("it", "them", "alone", "that") or (before in ("i", "have", "'ve", "we", "he", "was") and after in ("the", "it"))
    if word in ("back", "rear") and word == "back":
        return before in ("comes", "come", "came", "coming", "put", "put", "snaps", "springs", "bounces", "right", "it", "them", "going", "go", "goes", "get", "getting", "bring", "sit", "step", "folded", "bent", "clipped", "plugged", "few") or (after in _NOT_BACK and before not in ("the", "at"))
    if word == "front":
        return before == "in" and after == "of"
    if word == "near":
        return True
    if word in ("both", "all", "each") and before in ("are", "were", "is", "'re", "look", "work", "have", "feel"):
        return True
    if word == "neither" and ("nor" in [talk.at(i) for i in range(mention.end, mention.end + 6)] or after == ","):
        return True
    if word in ("also", "too", "other", "each", "either", "pair", "port") :
        return word in ("port",) or (word == "too" and after not in (".", ",", "", "and")) or (word == "either" and (after == "or" or (after in (".", "", ",") and before not in ("on", "of", "in", "at", "with", "from"))))
    return False


def _mirrored(talk: Talk, mention: Mention) -> bool:
    """ "4 mm left and 5 right": both sides are said, so "left" is a side here."""
    around = [*range(mention.start - 9, mention.start), *range(mention.end, mention.end + 9)]
    return any(talk.at(i) == "right" for i in around)


def _component(head: Mention, spoken: Sequence[str]) -> str | None:
    """The component a name stands for, given those spoken of before, most recent last."""
    if head.family == "part":
        return head.id
    data = head.rows[0].data
    near: dict[str, str] = data["near"]
    components = vocabulary().components
    for earlier in reversed(spoken[-8:]):
        if earlier in near:
            return near[earlier]
        group = components[earlier].group
        if group in near:
            return near[group]
    return data["default"]  # type: ignore[no-any-return]


def _is_plural(talk: Talk, head: Mention) -> bool:
    words = [talk.at(i) for i in range(head.start, head.end)]
    singular = ("brakes", "gears", "abs", "electrics", "races", "lens", "glass", "bars", "handlebars", "forks", "anchors")
    return any(w.endswith("s") and not w.endswith("ss") and w not in singular for w in words)


def _left(talk: Talk, head: Mention, by_token: dict[int, Mention], used: set[int]) -> tuple[int, list[Mention]]:
    """Start of the phrase and the place words before the name."""
    at, found = head.start, []
    while at > 0 and at - 1 not in used:
        previous = by_token.get(at - 1)
        if previous and previous.id == "same":
            break
        if previous and (talk.at(previous.end - 1) in ("one", "ones", "them") or _second_place(talk, previous, found, at)):
            break
        if talk.at(at - 1) in ("these", "those", "them", "both") and not _is_plural(talk, head) and not previous:
            break
        if previous:
            found.append(previous)
            at = previous.start
        elif talk.at(at - 1) in _DETERMINERS:
            at -= 1
        elif talk.at(at - 1) in ("and", "nor", "or") and found and at - 2 in by_token and by_token[at - 2].end == at - 1:
            at -= 1
        elif talk.at(at - 1) == "brake" and found:
            at -= 1
        else:
            break
    return at, found[::-1]


def _second_place(talk: Talk, place: Mention, found: list[Mention], at: int) -> bool:
    """Whether a place word belongs to what stands before: "thirty-six rear | front pads"."""
    axis = place.rows[0].data["axis"]
    same = [f for f in found if f.rows[0].data["axis"] == axis and axis in ("end", "side")]
    return bool(same) and talk.at(at) not in ("and", "or", "nor")


def _right(
    talk: Talk, head: Mention, by_token: dict[int, Mention], starts: dict[int, Mention]
) -> tuple[int, list[Mention]]:
    """End of the phrase and the place words that follow the name."""
    found: list[Mention] = []
    end = at = head.end
    while True:
        step = at
        while talk.at(step) in ("on", "at", "the", "and", ",", "to", "for", "next", "now", "first", "in") and step - at < 3:
            if talk.at(step) == "," and found:
                break
            step += 1
        mention = by_token.get(step)
        if mention is None or not _closes(talk, mention, starts, after_comma="," in [talk.at(i) for i in range(at, step)]):
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
    if at in starts or any(m.start <= at < m.end for m in talk.of("place")) and any(
        s - at in (1, 2) for s in starts
    ):
        return False
    if after_comma:
        return talk.at(mention.end) in (".", ",", ":", "", ";") and mention.id in ("front", "rear", "both", "ends_both", "left", "right", "corners")
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
        if out and _joined(talk, out[-1].end, mention.start) and not (out[-1].word and talk.at(mention.end) in ("is", "was", "'s", "are")):
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
        end = mention.end + 1 if talk.at(mention.end) in ("one", "ones", "side", "pair") else mention.end
        part = Part(start, end, (mention.start, mention.end), None, rule=f"place:{mention.id}")
        part.plural = talk.at(end - 1) in ("ones", "fronts", "rears", "lefts", "rights")
        _place(talk, part, [mention])
        out.append(part)
    return out


def _joined(talk: Talk, end: int, start: int) -> bool:
    between = [talk.at(i) for i in range(end, start)]
    return start >= end and len(between) <= 2 and all(w in ("and", "or", "hand", "nor", "on", "the", "at", "for", "in") for w in between)


def _zones(talk: Talk, used: set[int]) -> list[Part]:
    """Headings that name no part: "front end now", "electrics"."""
    out = []
    for mention in talk.of("zone"):
        tokens = set(range(mention.start, mention.end))
        named = any(m.start < mention.end and mention.start < m.end for m in (*talk.of("part"), *talk.of("shared")))
        if tokens & (used | talk.taken) or named or (len(tokens) == 1 and mention.id != "none"):
            continue
        ends: tuple[End, ...] = () if mention.id == "none" else (mention.id,)  # type: ignore[assignment]
        out.append(Part(mention.start, mention.end, (mention.start, mention.end), None, ends, word="zone"))
    return out
