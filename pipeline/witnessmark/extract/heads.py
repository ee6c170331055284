"""Names of parts in the talk: which words name one, and what a word that has several meanings names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import expand
from witnessmark.knowledge.vocabulary import vocabulary

_MACHINES = word_set("machines")
_SEASONAL = word_set("seasonal")
_LEAK_VERBS = word_set("leak_verbs")
_AMOUNTS = word_set("amounts")
_HELD = word_set("held")


def find_heads(talk: Talk) -> list[Mention]:
    """Part names that are not the machine's identity, a unit or inside a limit's own words."""
    units = {i for m in talk.measures if m.unit for i in range(m.number.end, m.end)}
    longer = [p for p in talk.of("place") if p.end - p.start > 1]
    both = sorted((*talk.of("part"), *talk.of("shared")), key=lambda m: m.start)
    return [
        m
        for m in both
        if not (set(range(m.start, m.end)) & (talk.taken | units))
        and not any(
            m.end <= p.end and p.end - p.start > m.end - m.start
            for p in talk.between(longer, m.start - 8, m.start + 1)
        )
        and not any(
            m.end <= c.end and c.end - c.start > 1
            for cues in (talk.of("limit"), talk.cues("unseen"))
            for c in talk.between(cues, m.start - 8, m.start + 1)
        )
        and not _is_figure_of_speech(talk, m)
    ]


def _is_figure_of_speech(talk: Talk, head: Mention) -> bool:
    """ "with the engine running", "comes back to the bar": words of parts that name none."""
    word, before, after = talk.at(head.start), talk.at(head.start - 1), talk.at(head.end)
    if (
        word in ("bar", "bars")
        and head.end - head.start == 1
        and before == "the"
        and talk.at(head.start - 2) in ("to", "against", "off")
    ):
        return True
    flows = word in ("oil", "fluid", "coolant") and head.end - head.start == 1
    if flows and (_leaks_out(talk, head.start) or _is_leaking(talk, head)):
        return True
    if before == "the" and talk.at(head.start - 2) == "with" and after in _HELD:
        if after == "on" and talk.at(head.end + 1) in ("the", "a"):
            return True  # "with the wheel on the ground"
        return talk.at(head.end + 1) in (",", ".", "...", "", "and", "there", "-", "i", "it", "no")
    pairs = talk.norms[head.start : head.end] in (["two", "stroke"], ["2", "stroke"])
    if (
        pairs
        and after.isalpha()
        and after not in ("is", "was", "low", "empty", "full", "topped", "has", "looks")
    ):
        return True  # "the two stroke moped"
    if word == "engine" and after in ("running", "off", "cold", "warm", "hot", "stopped", "speed"):
        return True
    if after in ("sticker", "label", "placard", "decal"):
        return True
    if word == "bar" and head.end - head.start == 1 and before in (",", "", ".", "two", "one"):
        return True
    if head.id in ("shaft_drive", "drive_belt", "chain") and after in _MACHINES:
        return True  # "the old shaft drive outfit"
    if word in ("brake", "brakes") and before in ("i", "you", "he", "she", "we", "they"):
        return True  # "I brake hard"
    if word == "spring" and talk.norms[max(0, head.start - 2) : head.start] == ["in", "the"]:
        return bool(talk.ending(talk.of("action"), head.start - 2)) or talk.at(head.start - 3) in _SEASONAL
    if word == "lead" and before not in ("a", "the", "earth", "plug"):
        return True
    return (
        word in ("oil", "play", "races")
        and before in ("of", "no", "any")
        and head.end - head.start == 1
        and word != "oil"
    )


def _is_leaking(talk: Talk, head: Mention) -> bool:
    """ "a little oil is leaking beneath": of the part spoken of."""
    before = talk.at(head.start - 1)
    little = (before in _AMOUNTS and before not in ("its", "out", "of")) or before in (",", "and", "with")
    return little and talk.at(head.end) in ("is", "was", "'s") and talk.at(head.end + 1) in _LEAK_VERBS


def _leaks_out(talk: Talk, at: int) -> bool:
    """ "misting oil", "sweating a little oil": what comes out and not what is judged."""
    before = at - 1
    while at - before <= 4 and talk.at(before) in _AMOUNTS:
        before -= 1
    return talk.at(before) in _LEAK_VERBS


def component_of(head: Mention, spoken: Sequence[str], placed: bool) -> str | None:
    """The component a name stands for.

    Args:
        head: the name.
        spoken: components spoken of before, most recent last.
        placed: whether "front" or "rear" stands before it.
    """
    if head.family == "part":
        return head.id
    data = head.rows[0].data
    near: dict[str, str] = data["near"]
    components = vocabulary().components
    if placed and data["default"] and components[data["default"]].takes_end:
        return data["default"]  # type: ignore[no-any-return]
    for earlier in reversed(spoken[-8:]):
        if earlier in near:
            return near[earlier]
        group = components[earlier].group
        if group in near:
            return near[group]
    return data["default"]  # type: ignore[no-any-return]


@cache
def _names() -> dict[tuple[str, ...], str]:
    """Words of a name → the part it names."""
    rows = (r for r in lexicon().rows if r.family == "part")
    return {words: row.id for row in rows for phrase in row.phrases for words in expand(phrase)}


def named_by(words: Sequence[str]) -> str:
    """The part that some words name, or nothing."""
    return _names().get(tuple(words), "")


def compound(norms: Sequence[str], whole: tuple[int, int], fitting: tuple[int, int]) -> str | None:
    """The part that "spring of the centre stand" names, when "centre stand spring" is a name of one."""
    return _names().get((*norms[whole[0] : whole[1]], *norms[fitting[0] : fitting[1]]))


def _contracted(talk: Talk, end: int) -> bool:
    """ "mirrors loose" in talk printed without apostrophes: the mirror is loose."""
    if "'s" in talk.norms or talk.at(end - 1)[-1:] != "s":
        return False
    said = talk.starting(talk.of("condition"), end) or talk.at(end) in ("a", "got", "gone", "starting")
    return bool(said) and talk.at(end) not in ("works", "work", "and")


def is_plural(talk: Talk, head: Mention) -> bool:
    """Whether a name is in the plural, words that only look so set aside."""
    words = [talk.at(i) for i in range(head.start, head.end)]
    if not talk.punctuated and _contracted(talk, head.end):
        return False
    singular = (
        "brakes",
        "gears",
        "abs",
        "electrics",
        "races",
        "lens",
        "glass",
        "bars",
        "handlebars",
        "forks",
        "anchors",
    )
    return any(w.endswith("s") and not w.endswith("ss") and w not in singular for w in words)
