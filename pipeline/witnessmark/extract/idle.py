"""Talk in which nothing is a finding: suppositions, teaching, claims, history, plans, questions."""

from __future__ import annotations

from bisect import bisect_right

from witnessmark.extract.idle_cues import is_idle_cue, there_is_none
from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Clause, Talk
from witnessmark.knowledge.grammar import words as word_set

STRONG = frozenset((".", "?", "!", ";", "\n"))
IDLE_ORDER = ("if", "teach", "claim", "past", "plan")


def clause_at(clauses: list[Clause], token: int) -> int:
    """The index of the clause that a token is in."""
    return max(0, bisect_right(clauses, token, key=lambda c: c.start) - 1)


_FOUND = word_set("found_by_reading")
_BE = word_set("be")


def mark_idle(talk: Talk, clauses: list[Clause]) -> None:
    """Marks what is supposed, taught, claimed, past, planned or asked, and so is no finding."""
    for kind in IDLE_ORDER:
        for cue in talk.cues(f"idle.{kind}"):
            if not is_idle_cue(talk, kind, cue) or (kind == "claim" and _agreed(talk, clauses, cue)):
                continue
            at = clause_at(clauses, cue.start)
            sentence = clauses[at].sentence
            while at < len(clauses) and clauses[at].sentence == sentence:
                if clauses[at].start > cue.start and _resumes(talk, kind, clauses[at], cue):
                    break
                clauses[at].idle = clauses[at].idle or kind
                at += 1
    for clause in clauses:
        end = next((i for i in range(clause.start, len(talk.norms)) if talk.norms[i] in STRONG), None)
        told = talk.at(clause.start) in ("i", "we") and clause.end <= (end or 0) - 2
        told = told or (end is not None and _asks_only_a_name(talk, clause, end))
        if talk.punctuated and end is not None and talk.norms[end] == "?" and not clause.idle and not told:
            clause.idle = "question"


def _asks_only_a_name(talk: Talk, clause: Clause, end: int) -> bool:
    """ "That's misaligned, is that what you call it?": what is asked at the end is no more than a word."""
    tail = next((i for i in range(end - 1, clause.end - 1, -1) if talk.norms[i] == ","), None)
    return tail is not None and talk.norms[tail + 1 : tail + 4] in (
        ["is", "that", "what"],
        ["is", "that", "how"],
    )


def mark_generic(talk: Talk, clauses: list[Clause]) -> None:
    """ "A healthy one sits high", "a stuck piston, yes": any such part and not this one."""
    adjectives = {m.start: m for m in talk.of("condition")}
    heads = {p.head[0] for p in talk.parts if p.component}
    for clause in clauses:
        at = clause.start
        while talk.at(at) in ("and", "so", "but", "now", "well", ","):
            at += 1
        if _is_maxim(talk, clause, adjectives.get(at), at):
            clause.idle = clause.idle or "teach"
        if clause.opener == "." and _is_any(talk, at):
            clause.idle = clause.idle or "teach"
        mention = adjectives.get(at + 1)
        if (
            clause.opener == "."
            and talk.at(at) in ("a", "an")
            and mention
            and (mention.end in heads or talk.at(mention.end) == "one")
        ):
            clause.idle = clause.idle or "teach"


def _is_any(talk: Talk, at: int) -> bool:
    """ "A tyre that sits all winter takes a flat spot": any such part."""
    named = talk.starting(talk.parts, at) or talk.starting(talk.parts, at + 1)
    ends = [p.end for p in named if p.component]
    if talk.at(at) not in ("a", "an") or not ends or talk.at(ends[0]) not in ("that", "which"):
        return False
    verb = talk.at(ends[0] + 1)
    return verb.endswith("s") and verb not in _BE


def _is_maxim(talk: Talk, clause: Clause, first: Mention | None, at: int) -> bool:
    """ "Loose is noisy, tight is expensive.": a word for a condition as the subject, and no figure of it."""
    if first is None or first.end - at != 1 or clause.opener not in (".", ","):
        return False
    figure = bool(talk.between(talk.measures, first.end, first.end + 5))
    figure = figure or bool(talk.starting(talk.of("quantity"), at))
    return talk.at(first.end) in ("is", "means") and not figure


def _agreed(talk: Talk, clauses: list[Clause], cue: Mention) -> bool:
    """Whether the technician makes a customer's claim his own in the same sentence."""
    sentence = clauses[clause_at(clauses, cue.start)].sentence
    return any(
        clauses[clause_at(clauses, m.start)].sentence == sentence and m.start > cue.start
        for m in talk.cues("agree")
    )


def _resumes(talk: Talk, kind: str, clause: Clause, cue: Mention) -> bool:
    """Whether a later clause of an idle sentence is a statement again."""
    first = talk.at(clause.start)
    if kind == "plan":
        return not {"gets", "get", "will", "'ll"} & set(talk.norms[clause.start : clause.end])
    if kind == "if" and first == "but":
        return True
    if kind == "if" and talk.norms[clause.start : clause.start + 3] == ["so", "i", "did"]:
        return True
    if kind == "if" and talk.norms[cue.start : cue.start + 2] == ["i", "'d"]:
        return first in ("so", "but", "and")  # "I'd have to take the cover off, so not seen"
    if kind == "past":
        asks = {"needs", "wants", "need", "want"} & set(talk.norms[clause.start : clause.end])
        if first == "which" and talk.at(clause.start + 1) == "is" and asks:
            return True  # "what I said last year, which is that it needs replacing"
        if {"today", "now", "already", "currently"} & set(talk.norms[clause.start : clause.end]):
            return True
        if "still" in talk.norms[clause.start : clause.end] and first in ("and", ","):
            return True
        present = {"is", "'s", "are", "has", "needs", "wants"} & set(talk.norms[clause.start : clause.end])
        if (
            first == "and"
            and present
            and not {"was", "were", "had"} & set(talk.norms[clause.start : clause.end])
        ):
            return True
        says = first == "so" and bool(talk.starting(talk.of("condition"), clause.start + 1))
        return (first in ("but", "so") and not says) or (
            first in (",", "and") and talk.at(clause.start + 1) in ("now", "but", "so")
        )
    three = talk.norms[clause.start : clause.start + 3]
    if kind == "teach" and three in (["so", "i", "'d"], ["so", "we", "'d"]):
        return True  # "one never changes just the one, so I'd change the pair"
    if kind == "teach":
        return "yes" in talk.norms[clause.start : clause.start + 3]  # "so we check, and yes, it's stuck"
    if kind == "claim" and first == "but" and "i" in talk.norms[cue.end : clause.start]:
        return True  # "he swore it never leaked, and I'll grant you they all say that, but it's leaking"
    if kind == "claim" and first == "because" and there_is_none(talk, clause):
        return True  # "he says it drags, and I couldn't agree, because there's no drag in it"
    if kind == "claim":
        at = clause.start + (first in (",", "and", "but"))
        at += talk.at(at) in ("and", "but")
        if talk.at(at) in ("it", "they", "i") and talk.at(at + 1) in _FOUND:
            return True  # "I'm told it's new, and it reads twelve eight"
        if first == "but" and talk.at(cue.end - 1) in ("thought", "believed"):
            return True  # "I thought there was a notch, but it's the cable"
        return any(clause.start <= m.start < clause.end for m in talk.cues("agree"))
    return False
