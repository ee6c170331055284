"""Which words that look like a sign of chat are one: not "you should be" of a figure."""

from __future__ import annotations

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Clause, Talk
from witnessmark.knowledge.grammar import words as word_set

_LEAST = word_set("least")
_WERE = word_set("past_verbs")
_TOLD = word_set("told_of_oneself")
_TRIED = word_set("tried")
_BEFORE_ALWAYS = word_set("before_always")


def is_idle_cue(talk: Talk, kind: str, cue: Mention) -> bool:
    """Words that only look like the cue: "always" in front of nothing, "you should be" of a figure."""
    if kind == "if" and any(h.start <= cue.start < h.end for h in talk.cues("hedge")):
        return False  # "not sure if"
    if talk.norms[cue.start : cue.end] == ["when", "you"] and talk.ending(talk.of("condition"), cue.start):
        return False  # "rumbles when you spin it"
    if kind == "teach" and talk.at(cue.end - 1) == "can" and talk.at(cue.end) in _TRIED:
        return False
    if (
        kind == "teach"
        and cue.end - cue.start == 1
        and talk.at(cue.start) in ("generally", "usually", "normally")
    ):
        return talk.at(cue.end) != "good"
    if talk.at(cue.start) == "say" and talk.at(cue.start - 1) not in (
        ".",
        "",
        ",",
        "?",
        "!",
        "and",
        "now",
        "so",
    ):
        return False
    if (
        kind == "claim"
        and talk.at(cue.end - 1) in ("reckons", "says")
        and talk.at(cue.end - 2) in ("book", "manual", "sticker", "plate")
    ):
        return False
    before = talk.norms[max(0, cue.start - 7) : cue.start]
    if kind == "plan" and talk.at(cue.start) == "on" and "that" in before and _WERE & set(before):
        return False  # "it wasn't there on Sunday"
    if kind == "claim" and talk.at(cue.end - 1) == "me" and talk.at(cue.end) == "to":
        return False  # "that told me to look at the caliper"
    if (
        kind == "plan"
        and talk.at(cue.start) in ("tonight", "tomorrow", "later", "today")
        and _is_wanted(talk, cue)
    ):
        return False  # "so it wants stripping tonight"
    if kind == "past" and talk.at(cue.start) == "over" and _is_watched(talk, cue):
        return False  # "keep an eye on that over the winter"
    if kind == "past" and talk.at(cue.start) == "in" and _is_wanted(talk, cue):
        return False  # "wants stripping down in January"
    if kind == "teach" and any(
        w.end >= cue.end for w in talk.between(talk.cues("wants"), cue.start - 6, cue.start + 1)
    ):
        return False  # "I'd tell him to replace that"
    if kind == "teach" and talk.between(talk.cues("unseen"), cue.start, cue.end):
        return False  # "the tail light nobody has checked"
    if kind == "teach" and any(s.end > cue.start for s in talk.between(talk.limits, cue.start - 8, cue.end)):
        return False  # "one point five where the law wants one point six"
    if kind == "teach" and talk.at(cue.start - 1) == "would" and talk.at(cue.end - 1) == "look":
        return False  # "would you look at the state of that chain"
    if kind == "teach" and talk.norms[cue.start : cue.start + 2] == ["never", "mind"]:
        return False
    if kind in ("plan", "teach") and _must_be_done(talk, cue):
        return False
    if kind == "plan" and {"need", "needing"} & set(talk.norms[cue.start : cue.end + 2]):
        return False  # "we're going to need new pads"
    if kind == "plan" and talk.at(cue.end) in ("her", "him", "them", "you"):
        return False  # "I'll have her keep an eye on that"
    words = talk.norms[cue.start : cue.end]
    if words == ["the", "reason"] and talk.at(cue.start - 1) in ("'s", "is"):
        return False  # "there's the reason, the cable is dry"
    if words == ["you", "'d", "be"] and talk.at(cue.end) in ("glad", "pleased", "happy", "proud"):
        return False
    if words == ["i", "'d", "have"] and talk.at(cue.end) in ("that", "it", "them", "those", "this"):
        return False  # "I'd have that off and rebuilt"
    if kind == "teach" and talk.at(cue.end - 1) == "the" and talk.at(cue.end) in _LEAST:
        return False  # "there might be the smallest bit of play"
    lone = talk.norms[cue.start : cue.end] == ["do", "not"]
    if lone and talk.at(cue.start - 1) not in ("", ".", ",", "and", "please", "so", "but"):
        return False
    crowd = ("anyone", "everyone", "everybody", "people", "folk", "folks", "riders", "owners")
    if (
        kind == "teach"
        and talk.at(cue.start) in crowd
        and talk.at(cue.start - 1) not in ("", ".", ",", "and", "but", "most", "these")
    ):
        return False
    if (
        talk.at(cue.start) == "never"
        and talk.at(cue.end) in _TOLD
        and talk.at(cue.start - 1) in ("", ".", ",")
    ):
        return False  # "Never got the cover off"
    if kind == "teach" and talk.at(cue.start) in ("always", "never") and cue.end - cue.start == 1:
        said_before = talk.at(cue.start - 1)
        return said_before in _BEFORE_ALWAYS
    return not any(i in talk.taken for i in range(cue.start, cue.end))


def _must_be_done(talk: Talk, cue: Mention) -> bool:
    """ "We'll have to replace that": work, not only a look."""
    words = talk.norms[cue.start : cue.end + 2]
    at = next((i for i in range(len(words) - 1) if words[i : i + 2] == ["have", "to"]), None)
    if at is None or "'ll" not in talk.norms[max(0, cue.start - 1) : cue.start + at]:
        return False
    verbs = [
        *talk.starting(talk.of("action"), cue.start + at + 2),
        *talk.starting(talk.of("action"), cue.start + at + 3),
    ]
    return any(verb.id != "investigate" for verb in verbs)


def there_is_none(talk: Talk, clause: Clause) -> bool:
    """Whether a clause says that there is none of something."""
    words = talk.norms[clause.start : clause.end]
    return any(words[i : i + 3] in (["there", "'s", "no"], ["there", "is", "no"]) for i in range(len(words)))


def _is_watched(talk: Talk, cue: Mention) -> bool:
    """Whether a cue follows what is to be watched from now on."""
    before = talk.between(talk.of("action"), cue.start - 8, cue.start)
    return any(m.id == "monitor" and "." not in talk.norms[m.end : cue.start] for m in before)


def _is_wanted(talk: Talk, cue: Mention) -> bool:
    """Whether work is asked for before a cue in its sentence."""
    asked = talk.between(talk.cues("wants"), cue.start - 14, cue.start)
    marks = (".", "?", "!", ";")
    return any(not any(w in marks for w in talk.norms[c.end : cue.start]) for c in asked)
