"""Everything in a talk that can begin, state or correct something, in one ordered list."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from witnessmark.extract.denials import denies_seeing, inside_phrase
from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Code, Measure, Part, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.phrases import words_in

_ON_OFF = word_set("on_off")

_DOERS = word_set("deed_doers")
_DONE_TO = word_set("done_to")

EventKind = Literal["part", "condition", "measure", "code", "unseen", "action", "correct", "except"]


@dataclass(slots=True)
class Event:
    """One of them, over tokens [start, end), in a clause."""

    kind: EventKind
    start: int
    end: int
    clause: int
    part: Part | None = None
    mention: Mention | None = None
    measure: Measure | None = None
    code: Code | None = None


def events_of(talk: Talk) -> list[Event]:
    """Events in order. Words inside a longer event of another kind are left out."""
    found: list[Event] = []
    for measure in talk.measures:
        if measure.role == "value" and _is_worded(talk, measure):
            measure.role = "used"
    spans = [
        (m.start, m.end)
        for m in talk.measures
        if (m.unit or talk.at(m.start) != "one") and not _is_worded(talk, m)
    ]
    spans += [(c.start, c.end) for c in talk.codes] + [(s.start, s.end) for s in talk.limits]
    figures = {i for start, end in spans for i in range(start, end)} | talk.taken
    names = {i for p in talk.parts if p.component for i in range(p.head[0], p.head[1])}
    done = [m for m in talk.of("action") if not _inside_name(talk, m, names)]
    inner = {i for p in talk.parts if p.component for i in range(p.head[0] + 1, p.head[1])}
    done = [
        m for m in done if m.start not in inner
    ]  # the "oil and filter" of "engine oil and filter changed"
    work = {i: m for m in done for i in range(m.start, m.end)}

    def add(kind: EventKind, start: int, end: int, **payload: object) -> None:
        found.append(Event(kind, start, end, talk.clause_of(start), **payload))  # type: ignore[arg-type]

    inside = {
        m.start
        for m in done
        if m.end - m.start > 1 and {"past", "ing"} & {r.data.get("form") for r in m.rows}
    }
    corrections = [c for c in talk.cues("correct") if not _asks_for_work(talk, c)]
    mending = {i for c in corrections if c.end - c.start > 1 for i in range(c.start, c.end)}
    coded = {i for c in talk.codes if c.quantity == "size_marking" for i in range(c.start, c.end)}
    for part in talk.parts:
        if part.head[0] in coded:
            continue  # the "dash" of "100 slash 80 dash 10"
        if part.component and part.head[0] in mending:
            continue  # "I stand corrected"
        if part.component is None and any(
            s.kind == "fitting" and s.end == part.end
            for s in talk.between(talk.limits, part.start - 16, part.start)
        ):
            continue  # "25 to 35 is right"
        if part.component and part.head[0] in inside and part.start == part.head[0]:
            continue  # "wire brushed"
        add("part", part.start, part.end, part=part)
    places = [p for p in talk.of("place") if p.end - p.start > 1]
    swapped = {i for c in talk.cues("swap") if c.end - c.start > 3 for i in range(c.start, c.end)}
    for mention in talk.of("condition"):
        if mention.start in swapped:
            continue  # "I have them backwards"
        if any(
            mention.end < p.end + (mention.start > p.start)
            for p in talk.between(places, mention.start - 8, mention.start + 1)
        ):
            continue
        span = set(range(mention.start, mention.end))
        longer_work = work.get(mention.start)
        if (
            _denies_noun(talk, mention)
            or _is_deed(talk, mention)
            or _describes_next(talk, mention)
            or _is_reason(talk, mention)
        ):
            continue
        if mention.start in mending or _is_outcome(mention, work):
            continue
        if span & (figures | names) or (longer_work and longer_work.end - longer_work.start > len(span)):
            continue
        if talk.norms[mention.start : mention.end] == ["off"] and talk.at(mention.start - 1) in _ON_OFF:
            continue  # "works off both levers"
        if talk.at(mention.start) in ("ok", "okay") and (
            _agrees(talk, mention.start) or _moves_on(talk, mention.end)
        ):
            continue
        shares = mention.end - mention.start > 1 and talk.starting(talk.parts, mention.end - 1)
        add("condition", mention.start, mention.end - bool(shares), mention=mention)  # "oil on | on the disc"
    for measure in talk.measures:
        if any(p.end > measure.start for p in talk.between(talk.parts, measure.start - 8, measure.start + 1)):
            continue  # "the rear one"
        if measure.unit is None and _is_one_of_them(talk, measure.start):
            continue
        if measure.role == "value" and not set(range(measure.start, measure.end)) & talk.taken:
            add("measure", measure.start, measure.end, measure=measure)
    for code in talk.codes:
        add("code", code.start, code.end, code=code)
    for mention in talk.cues("unseen"):
        if not denies_seeing(talk, mention) and not _could_not_make(talk, mention):
            add("unseen", mention.start, mention.end, mention=mention)
    for mention in done:
        span = set(range(mention.start, mention.end))
        if not span & talk.taken and not names.issuperset(span):
            add("action", mention.start, mention.end, mention=mention)
    for mention in (*talk.cues("wants_alone"), *talk.cues("wants_worn")):
        add("action", mention.start, mention.end, mention=mention)
    for mention in corrections:
        if _corrects(talk, mention) and mention.start not in figures:
            add("correct", mention.start, mention.end, mention=mention)
    for mention in talk.cues("except"):
        if mention.start in figures or inside_phrase(talk, mention):
            continue  # the bar of "two bar", of "back to the bar"
        if talk.at(mention.start) == "but" and _goes_on_to_say(talk, mention.end):
            continue  # "but the right-hand one rubs"
        add("except", mention.start, mention.end, mention=mention)
    return sorted(found, key=lambda e: (e.start, e.end))


def _is_one_of_them(talk: Talk, at: int) -> bool:
    """ "there's one at the right": a pronoun and no figure."""
    return talk.at(at) == "one" and talk.at(at - 1) in ("is", "'s") and talk.at(at - 2) == "there"


def _is_worded(talk: Talk, measure: Measure) -> bool:
    """ "snapped in two", "needs two pumps": a number that belongs to what is said."""
    if measure.unit is not None:
        return False
    around = talk.between(talk.of("condition"), measure.start - 6, measure.start + 1)
    said = set(talk.norms[measure.start : measure.end])
    return any(m.end >= measure.end and any(said <= _words_of(row.phrases) for row in m.rows) for m in around)


@cache
def _words_of(phrases: tuple[str, ...]) -> set[str]:
    return words_in(phrases)


def _inside_name(talk: Talk, mention: Mention, names: set[int]) -> bool:
    """ "kill switch cuts out": a word of a name, and no work on it."""
    form = mention.rows[0].data["form"]
    inside = mention.start in names and (mention.start - 1 in names or mention.start + 1 in names)
    return form == "base" and inside and mention.end - mention.start > 1


def _is_outcome(mention: Mention, work: dict[int, Mention]) -> bool:
    """ "got it working again": in order by the work, and not as found."""
    over = work.get(mention.start)
    return mention.id == "sound" and over is not None and over.start < mention.start


def _is_deed(talk: Talk, mention: Mention) -> bool:
    """ "I scratch it with the nail", "I'd knock it off the price", "free play": no condition of a part."""
    word, after = talk.at(mention.start), talk.at(mention.end)
    if word == "free" and after in ("play", "travel"):
        return True
    if mention.end - mention.start > 1 or word.endswith(("ed", "ing")):
        return False
    return talk.at(mention.start - 1) in _DOERS and after in _DONE_TO


def _could_not_make(talk: Talk, mention: Mention) -> bool:
    """ "I couldn't get it to do that": tried, and not unseen."""
    tried = talk.at(mention.end - 1) == "get" and talk.at(mention.end) in ("it", "her", "them", "him")
    return tried and talk.at(mention.end + 1) == "to"


def _goes_on_to_say(talk: Talk, at: int) -> bool:
    """Whether something is said in the rest of a clause."""
    end = talk.clauses[talk.clause_of(at)].end
    return any(
        talk.between(found, at, end) for found in (talk.of("condition"), talk.of("action"), talk.measures)
    )


def _is_reason(talk: Talk, mention: Mention) -> bool:
    """ "For that grit it wants replacing", "because of that bend": said before."""
    return talk.at(mention.start - 1) in ("that", "those") and talk.at(mention.start - 2) in (
        "for",
        "of",
        "with",
    )


def _describes_next(talk: Talk, mention: Mention) -> bool:
    """ "brown sludge": a colour of what is said next."""
    later = next(iter(talk.starting(talk.of("condition"), mention.end)), None)
    return mention.id == "discoloured" and later is not None and bool(later.rows[0].data.get("noun"))


def _moves_on(talk: Talk, at: int) -> bool:
    """ "grip's torn okay rear end now": begins the next stretch and judges nothing."""
    if talk.at(at - 2) in ("is", "are", "'s", "was", "were", "looks", "feels"):
        return False
    zone = any(p.word == "zone" for p in talk.starting(talk.parts, at))
    return not talk.punctuated and (zone or talk.at(at) in ("now", "next", "so", "then", "moving", "let"))


def _denies_noun(talk: Talk, mention: Mention) -> bool:
    """ "a crack is not there": rules the crack out, and nothing is missing."""
    cue = next(iter(talk.between(talk.cues("deny_after"), mention.start - 2, mention.start + 1)), None)
    if cue is None or cue.end < mention.end or mention.id != "missing":
        return False
    return any(m.rows[0].data.get("noun") for m in talk.ending(talk.of("condition"), cue.start))


def _agrees(talk: Talk, at: int) -> bool:
    """ "yeah, okay, order it" says yes and nothing of a part."""
    before = at - 2 if talk.at(at - 1) == "," else at - 1
    return talk.at(before) in ("yeah", "yes", "yep") and talk.at(before - 1) in (".", "...", "")


def _asks_for_work(talk: Talk, cue: Mention) -> bool:
    """ "that should be changed": no correction, as "that should be 4" is one."""
    work = talk.of("action")
    asked = bool(talk.starting(work, cue.end)) or bool(talk.starting(work, cue.end - 1))
    return talk.at(cue.end - 1) == "be" and asked


def _corrects(talk: Talk, mention: Mention) -> bool:
    """A bare "no" or "sorry" corrects only where it stands by itself."""
    words = [talk.at(i) for i in range(mention.start, mention.end)]
    before, after = talk.at(mention.start - 1), talk.at(mention.end)
    if words == ["sorry"] and before in (
        "been",
        "be",
        "is",
        "'s",
        "are",
        "feel",
        "so",
        "am",
        "look",
        "looks",
    ):
        return False  # "he's been sorry since"
    if words[-2:] == ["wrong", "one"] and before not in (",", ".", "no", "...", ""):
        return False  # "somebody has put the wrong one"
    if words == ["well", "no"] and before == "as":
        return False  # "rust on it as well, no tight links"
    onward = [talk.at(i) for i in range(mention.end, mention.end + 4)]
    if words == ["sorry"] and (
        onward[:3] in ([",", "back", "to"], [",", "i", "forgot"]) or onward[:2] == ["back", "to"]
    ):
        return False  # "Sorry, back to the front wheel, I forgot the bearing"
    if words == ["no"]:
        return after in (",", "...", "-", "—") and before in (",", ".", "...", "-", "", "—", "no", "?", "!")
    if words == ["call", "it"] and before == "," and talk.ending(talk.parts, mention.start - 1):
        return False  # "Pads, call it four mil"
    if words in (["rather"], ["actually"], ["wait"], ["call", "it"], ["make", "it"]):
        return before in (",", ".", "...", "-", "", "no", "or") or not talk.punctuated
    return True
