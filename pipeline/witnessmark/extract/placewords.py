"""Place words, and the idioms in which they say no place."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

_NOT_BACK = word_set("not_back")


def usable_places(talk: Talk, heads: Sequence[Mention]) -> list[Mention]:
    """Place words that say a place: not inside a name, an idiom or the machine's identity."""
    inside = {i for h in heads for i in range(h.start, h.end)}
    words = {
        i
        for m in (*talk.of("condition"), *talk.cues("unseen"), *talk.cues("correct"))
        if m.end - m.start > 1
        for i in range(m.start, m.end)
    }
    out = []
    for mention in talk.of("place"):
        tokens = set(range(mention.start, mention.end))
        if mention.rows[0].data["axis"] == "both" and _of_a_limit(talk, mention):
            continue
        if tokens & inside and (shorter := _before_name(talk, mention, inside)):
            out.append(shorter)
            continue
        if tokens & talk.taken or tokens & inside or (tokens & words and len(tokens) == 1):
            continue
        if not _is_idiom(talk, mention):
            out.append(mention)
    return out


def _before_name(talk: Talk, mention: Mention, inside: set[int]) -> Mention | None:
    """ "right hand | side panel": the place words that stand before a name which takes the last of them."""
    end = next((i for i in range(mention.start, mention.end) if i in inside), mention.end)
    words = talk.norms[mention.start : end]
    side = bool(words) and words[-1] not in ("the", "on")
    return Mention(mention.start, end, mention.rows) if side and end < mention.end else None


def _of_a_limit(talk: Talk, mention: Mention) -> bool:
    """ "minimum 4 on both", "for both the limit is 1.6": what is both is the limit."""
    for said in talk.between(talk.limits, mention.start - 20, mention.start + 21):
        start, end = min(said.start, mention.start), max(said.end, mention.end)
        apart = (*talk.norms[start : said.start], *talk.norms[said.end : end])
        marks = [w for w in apart if w in (".", ",", "?", ";", "and", "but", "so")]
        if bool(talk.between(talk.measures, mention.end, said.start)):
            continue
        if (
            not marks
            and end - start <= 14
            and (mention.start >= said.start - 8 and mention.start <= said.end + 2)
        ):
            return True
    return False


def _is_idiom(talk: Talk, mention: Mention) -> bool:
    """Place words used otherwise: "right, next", "comes back", "2 mm left", "in front of"."""
    word, before, after = talk.at(mention.start), talk.at(mention.start - 1), talk.at(mention.end)
    if before == "not" or after in ("shoulder", "shoulders", "flank", "edge", "wall"):
        return True
    if word == "right" and talk.norms[mention.end : mention.end + 2] == ["the", "same"]:
        return False
    if word == "behind":  # "behind, two point four"
        opens = before in (".", ",", "", "and", "but", "now", ";")
        return not (opens and (after == "," or talk.number_at(mention.end) is not None))
    if word == "all" and after in ("the", "it", "its"):
        return True  # "cracked all around the sidewall"
    if mention.end - mention.start > 1:
        return False
    if word == "right" and after == ":" and before in (".", "") and not talk.number_at(mention.end + 1):
        return True  # "Right: no play in the steering head"
    if word == "right" and before == ":" and after == "i":
        return False  # "the minimum is 4: right I measure 4.8"
    if word == "right" and after == ",":
        figure = bool(talk.ending(talk.measures, mention.start)) or any(
            p == before for p in ("the", "on", "and", "front", "rear", "left", "or")
        )
        named = any(talk.ending(talk.of(f), mention.start) for f in ("part", "shared"))
        opposed = any(
            talk.at(i) == "left" and talk.at(i + 1) == "," for i in range(mention.start - 9, mention.start)
        )
        return not (figure or named or (opposed and before in (".", ",")))
    if word == "right" and before in ("front", "rear", "back") and after in ("ok", "okay", "there", "so"):
        return False  # "front left okay, front right okay"
    if word == "right" and before == "the" and after in ("i", "we"):
        return False  # "the left is dry, and the right I didn't check"
    if word == "right":
        return (
            after
            in (
                "after",
                *(("the",) if before not in ("the", "on") else ()),
                "under",
                "above",
                "beside",
                "below",
                "inside",
                "into",
                "off",
                "before",
                "behind",
                "against",
                "then",
                "so",
                "now",
                "this",
                "at",
                "on",
                "down",
                "up",
                "through",
                "back",
                "to",
                "i",
                "we",
                "in",
                "let",
                "where",
                "round",
                "across",
                "here",
                "there",
                "way",
                "size",
                "next",
                "over",
                "along",
                "that",
                "ok",
                "okay",
                "it",
                "by",
            )
            or (before in ("", ".", "all", "alright", "'s", "just") and after in (".", "", "!"))
            or before in ("all",)
        )
    if word == "left":
        measured = bool(talk.ending(talk.measures, mention.start)) or before in (
            "meat",
            "life",
            "tread",
            "material",
            "plenty",
            "bit",
            "much",
            "rubber",
            "it",
            "i",
            "we",
            "been",
            "friction",
        )
        of_it = talk.at(mention.start - 2) == "of" and bool(talk.ending(talk.measures, mention.start - 2))
        if _names_a_sided_part(talk, mention):
            return False
        return (
            ((measured or of_it) and not _mirrored(talk, mention))
            or after in ("it", "them", "alone")
            or (after == "that" and before != "the")
            or (before in ("i", "have", "'ve", "we", "he", "was") and after in ("the", "it"))
            or (before == "and" and after == "the" and talk.at(mention.start - 2) != "right")
        )
    if word in ("back", "rear") and word == "back":
        return before in (
            "comes",
            "come",
            "came",
            "coming",
            "put",
            "put",
            "snaps",
            "springs",
            "bounces",
            "right",
            "it",
            "them",
            "going",
            "go",
            "goes",
            "get",
            "getting",
            "bring",
            "sit",
            "step",
            "folded",
            "bent",
            "clipped",
            "plugged",
            "few",
        ) or (after in _NOT_BACK and before not in ("the", "at"))
    if word == "front":
        return before == "in" and after == "of"
    if word == "near":
        return True
    if word in ("both", "all", "each") and before in (
        "are",
        "were",
        "is",
        "'re",
        "look",
        "work",
        "have",
        "feel",
    ):
        return True
    if word == "neither" and (
        "nor" in [talk.at(i) for i in range(mention.end, mention.end + 6)] or after == ","
    ):
        return True
    if word in ("also", "too", "other", "each", "either", "pair", "port"):
        return (
            word in ("port",)
            or (word == "too" and after not in (".", ",", "", "and"))
            or (
                word == "either"
                and (
                    after == "or"
                    or (after in (".", "", ",") and before not in ("on", "of", "in", "at", "with", "from"))
                )
            )
        )
    return False


def _names_a_sided_part(talk: Talk, mention: Mention) -> bool:
    """ "slack is forty five left mirror is loose": the side of what is named next."""
    for named in talk.starting(talk.of("part"), mention.end):
        if vocabulary().components[named.id].placing in (
            "pair",
            "sided",
            "corner",
        ):
            return talk.at(named.end) in ("is", "'s", "are", "has", "was")
    return False


def _mirrored(talk: Talk, mention: Mention) -> bool:
    """ "4 mm left and 5 right": both sides are said, so "left" is a side here."""
    around = [*range(mention.start - 9, mention.start), *range(mention.end, mention.end + 9)]
    return any(talk.at(i) == "right" for i in around)
