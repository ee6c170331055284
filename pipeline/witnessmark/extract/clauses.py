"""Cuts talk into sentences and clauses, and marks the stretches in which nothing is a finding.

Where a recogniser printed no punctuation, a sentence is taken to begin where a new part is named as the
subject after something was said of the one before.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise

from witnessmark.extract.idle import IDLE_ORDER, STRONG, mark_generic, mark_idle
from witnessmark.extract.talk import Clause, Part, Talk
from witnessmark.knowledge.grammar import words as word_set

WEAK = word_set("weak_marks")
_OPENERS = word_set("openers")
_GOVERNORS = word_set("governors")
_AUXILIARIES = word_set("auxiliaries")
_LONG = 18
"""Tokens a sentence may have, for each comma in it and one more, before it is taken for several."""


def find_clauses(talk: Talk) -> list[Clause]:
    """Clauses in order, each with its sentence's number and why it is idle."""
    marks = sum(n in STRONG or n == "," for n in talk.norms)
    talk.punctuated = marks * 25 >= len(talk.norms)
    strong = {i + 1 for i, n in enumerate(talk.norms) if n in STRONG}
    strong |= {m.start for m in talk.cues("move_on")}
    strong |= _guesses_in_long_stretches(talk, strong)
    clauses = _split_at_ifs(talk, _cut(talk, strong))
    mark_idle(talk, clauses)
    mark_generic(talk, clauses)
    return clauses


def _guesses_in_long_stretches(talk: Talk, strong: set[int]) -> set[int]:
    """Guessed sentence starts, where the recogniser left long talk unmarked."""
    guesses = _guessed_starts(talk)
    if not talk.punctuated:
        return set(guesses)
    edges = sorted({0, len(talk.norms), *strong})
    found: set[int] = set()
    for start, end in pairwise(edges):
        marks = sum(n in (",", ":") for n in talk.norms[start:end])
        if end - start >= _LONG and (end - start) >= _LONG * (marks + 1):
            found |= {g for g in guesses if start < g < end}
    return found


def _cut(talk: Talk, strong: set[int]) -> list[Clause]:
    clauses: list[Clause] = []
    start, sentence, opener = 0, 0, "."
    for at in range(len(talk.norms) + 1):
        weak = at < len(talk.norms) and talk.norms[at] in WEAK and not _inside_figure(talk, at)
        if at == len(talk.norms) or at in strong or weak:
            if at > start:
                clauses.append(Clause(start, at, sentence, opener))
                start = at
            if at in strong:
                sentence += 1
                opener = "."
            if weak:
                opener = talk.norms[at] if at not in strong else "."
    return clauses


def _split_at_ifs(talk: Talk, clauses: list[Clause]) -> list[Clause]:
    """ "flickers when you tap it": what stands before the supposition is a statement of its own."""
    said = [m.start for family in ("condition", "action") for m in talk.of(family)]
    said.sort()
    yours = [c for c in talk.cues("idle.teach") if talk.at(c.start) == "you"]
    hedges = {i for h in talk.cues("hedge") for i in range(h.start, h.end)}
    ifs = [c for c in talk.cues("idle.if") if c.start not in hedges]
    cues = sorted((*ifs, *talk.cues("idle.claim"), *yours), key=lambda c: c.start)
    out: list[Clause] = []
    for clause in clauses:
        cue = next(iter(talk.between(cues, clause.start + 2, clause.end)), None)
        if cue and bisect_left(said, clause.start) < bisect_left(said, cue.start):
            out.append(Clause(clause.start, cue.start, clause.sentence, clause.opener))
            out.append(Clause(cue.start, clause.end, clause.sentence, "if"))
        else:
            out.append(clause)
    return out


def _inside_figure(talk: Talk, at: int) -> bool:
    """Whether a mark or "and" is inside a number, a code or the machine's identity."""
    measures = talk.between(talk.measures, at - 8, at)
    codes = talk.between(talk.codes, at - 12, at)
    return (
        at in talk.taken
        or any(m.start < at < m.end for m in measures)
        or any(c.start < at < c.end for c in codes)
    )


def _guessed_starts(talk: Talk) -> list[int]:
    """Tokens at which a sentence begins in talk printed without punctuation."""
    predicates = sorted(
        [m.start for m in (*talk.of("condition"), *talk.of("action"), *talk.cues("unseen"))]
        + [m.start for m in talk.measures]
        + [c.start for c in talk.codes]
        + list(talk.taken)
        + [m.start for kind in IDLE_ORDER for m in talk.cues(f"idle.{kind}")]
    )
    starts: list[int] = []
    last = 0
    presented = [Part(i, i + 1, (i, i + 1), None, word="zone") for i in _presentations(talk)]
    for part in sorted((*talk.parts, *presented), key=lambda p: p.start):
        if not _is_subject(talk, part):
            continue
        begin = part.start
        while (
            begin > last
            and talk.at(begin - 1) in _OPENERS
            and talk.at(begin - 1) not in ("to", "at", "on", "the", "up", "over", "onto", "with", "back")
            and not (talk.at(begin - 2) in _SAYS and talk.starting(talk.of("condition"), begin - 1))
        ):
            begin -= 1
        begin = _with_heading_words(talk, begin, last)
        claims = talk.cues("idle.claim")
        claimed = any(talk.ending(claims, begin - gap) for gap in range(3))
        said = bisect_left(predicates, last) < bisect_left(predicates, begin) and not claimed
        named_after_that = talk.norms[part.start : part.start + 2] == ["that", "the"]
        if (
            said
            and not named_after_that
            and not (_governed(talk, part.start, begin) or _described(talk, part.start))
        ):
            starts.append(begin)
            last = begin
    return starts


_SAYS = word_set("judging_verbs")


def _described(talk: Talk, start: int) -> bool:
    """ "has two broken spokes": what stands between a count and a noun describes the noun."""
    before = next(iter(talk.ending(talk.of("condition"), start)), None)
    if before is None:
        return False
    counted = talk.at(before.start - 1) in ("a", "an", "some", "several", "few")
    return counted or any(n.plain and n.value < 20 for n in talk.ending(talk.numbers, before.start))


def _presentations(talk: Talk) -> list[int]:
    """Tokens where "there is" or "one nail" brings up something new."""
    nouns = {m.start for m in talk.of("condition") if any(r.data.get("noun") for r in m.rows)}
    there = [
        i
        for i, n in enumerate(talk.norms)
        if n == "there"
        and talk.at(i + 1) in ("is", "'s", "are")
        and talk.at(i - 1) not in ("but", "in", "and")
    ]
    counted = [n.start for n in talk.numbers if n.end in nouns and n.plain and n.value < 10]
    return there + counted


def _with_heading_words(talk: Talk, begin: int, last: int) -> int:
    """ "moving to the back wheel": the words that lead to a heading go with it."""
    at = begin
    while at > last and talk.at(at - 1) in (
        "to",
        "the",
        "onto",
        "on",
        "at",
        "moving",
        "starting",
        "over",
        "up",
        "now",
        "back",
        "and",
        "so",
        "right",
        "then",
        "with",
    ):
        at -= 1
    words = [talk.at(i) for i in range(at, begin)]
    return at if "moving" in words or "starting" in words or "now" in words or "onto" in words else begin


def _is_subject(talk: Talk, part: Part) -> bool:
    """Whether something is said of a part right after it is named."""
    after = talk.at(part.end)
    if part.word == "zone":
        return True
    if part.component is None:
        return after in ("is", "'s", "are", "was", "has")
    return True


def _states(talk: Talk, start: int) -> bool:
    """Whether a verb follows the phrase that begins at a token: it is a subject after all."""
    part = next(iter(talk.starting(talk.parts, start)), None)
    return part is not None and talk.at(part.end) in _AUXILIARIES


def _governed(talk: Talk, start: int, begin: int) -> bool:
    """Whether the word before a phrase makes it an object and not a new subject."""
    if begin < start:
        return False
    before = talk.at(start - 1)
    if before in _GOVERNORS:
        return before in ("of", "no", "any", "not", "and", "or", "nor", "some") or not _states(talk, start)
    if talk.ending(talk.cues("handle"), start):
        return True
    work = talk.of("action")
    direct = [m for m in talk.ending(work, start) if m.rows[0].data["form"] != "thing"]
    done = next(iter((*direct, *talk.ending(work, start - 1))), None)
    return bool(
        done
        and done.rows[0].data["form"] in ("base", "past", "thing")
        and "it" not in [talk.at(i) for i in range(done.start, done.end)]
    )
