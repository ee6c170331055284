"""Whether work is wanted: the words before, after or around it that ask for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_SOFT = word_set("soft")


def is_wished(reader: Reader, index: int, event: Event) -> bool:
    """Whether a condition word is the work of a wish: "must be stripped", "needs cleaning"."""
    same = [
        e
        for e in reader.events[max(0, index - 2) : index + 3]
        if e.kind == "action" and e.start == event.start
    ]
    done = reader.talk.at(event.start - 1) in ("i", "have", "'ve", "we")
    return any(
        wish_before(reader, e) or (done and e.mention and e.mention.rows[0].family == "action") for e in same
    )


def forms_after(wish: str) -> tuple[str, ...]:
    """Which forms of a work word a wish takes: "needs replacing", "I'd replace", "to be replaced"."""
    if wish in (
        "i 'd",
        "i would",
        "to",
        "should",
        "we should",
        "must",
        "let 's",
        "i want to",
        "we need to",
        "needs to",
        "better",
    ):
        return ("base", "ing", "thing")
    return ("ing", "past", "thing", "base")


def wish_before(reader: Reader, event: Event) -> str:
    """The words that make work wanted, standing shortly before it in its sentence."""
    talk = reader.talk
    clause = talk.clauses[event.clause]
    wants = talk.between(talk.cues("wants"), event.start - 40, event.start + 1)
    if any(
        talk.at(c.start - 1) in ("not", "no", "hardly", "without") and event.start - c.end <= 4
        for c in wants
        if talk.sentence_of(c.start) == clause.sentence
    ):
        return ""  # "doesn't need replacing", "no need to change"
    for cue in reversed([c for c in wants if c.end <= event.start + 1]):
        if cue.start < talk.clauses[max(0, event.clause - 1)].start:
            break
        same = talk.sentence_of(cue.start) == clause.sentence
        between = talk.norms[cue.end : event.start]
        words = " ".join(talk.norms[cue.start : cue.end])
        loose = words.split()[0] not in ("to", "for", "get", "gets", "please", "let")
        room = 4 if loose else 2
        plain = [w for w in between if w not in _SOFT]
        named = bool(talk.between(talk.parts, cue.end, event.start))
        if talk.between(talk.measures, cue.end, event.start):
            continue
        if (
            same
            and (len(plain) <= (room if named else 1))
            and not _other_work(reader, cue.end, event.start)
            and _really(reader, words, event)
        ):
            return words
    for cue in reversed(wants):
        listed = talk.norms[cue.end : event.start]
        if (
            0 < len(listed) <= 6
            and {"and", "or"} & set(listed)
            and _other_work(reader, cue.end, event.start)
            and reader.talk.sentence_of(cue.start) == clause.sentence
        ):
            words = " ".join(talk.norms[cue.start : cue.end])
            if (
                event.mention
                and any(r.data.get("form") in ("ing", "thing") for r in event.mention.rows)
                and words not in ("to", "for")
            ):
                return words
    return ""


def wished_after(reader: Reader, event: Event) -> str:
    """ "replacement needed", "new pads please"."""
    forms = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    at = event.end
    if reader.talk.at(at - 1) in ("new", "fresh"):  # "a new ring is needed"
        asked = ("is", "are", "needed", "required", "wanted", "please")
        at = next((i for i in range(at, at + 4) if reader.talk.at(i) in asked), at)
    after = reader.talk.at(at)
    if after in ("is", "are"):
        after = reader.talk.at(at + 1)
    if after == "to" and reader.talk.norms[at + 2 : at + 4] in (
        ["be", "put"],
        ["be", "fitted"],
        ["be", "ordered"],
    ):
        return "needed"
    wished = after in (
        "needed",
        "required",
        "recommended",
        "necessary",
        "advised",
        "wanted",
        "please",
        "due",
        "overdue",
    )
    if not wished or not forms & {"ing", "thing", "base"}:
        return ""
    return "please" if after == "please" else "needed"


def _really(reader: Reader, words: str, event: Event) -> bool:
    """Keeps "for" and "to" from wishing before a past form: "I went to the rack and oiled it"."""
    forms = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    if words in ("to",):
        return (
            "base" in forms
            and reader.talk.at(event.start - 1) == "to"
            and reader.talk.at(event.start - 2)
            in (
                "need",
                "needs",
                "want",
                "wants",
                "have",
                "has",
                "ought",
                "going",
                "you",
                "us",
                "recommend",
                "advise",
                "like",
                "got",
            )
        )
    if words in ("for",):
        return forms & {"ing", "thing"} != set() and reader.talk.at(event.start - 1) in ("for", "a", "new")
    return True


def _other_work(reader: Reader, start: int, end: int) -> bool:
    return any(
        e.kind == "action" and e.end <= end for e in reader.talk.between(reader.events, start, end + 1)
    )


_ADDRESSED = word_set("addressed")
_OBJECTS = word_set("ordered_objects")


def ordered(reader: Reader, event: Event) -> bool:
    """ "it's worn out, replace it": a bare verb with an object at the start of a clause."""
    before, after = reader.talk.at(event.start - 1), reader.talk.at(event.end)
    if event.mention and event.mention.id == "investigate":
        return False
    starts = (
        before in (".", "", ";")
        and after not in ("on", "in", "at")
        and bool(reader.talk.starting(reader.talk.parts, event.end))
    )
    opens = before in (",", ".", "so", "please", "and", ";", "-", ":")
    alone = before in (".", ",") and after in (".", "") and bool(reader.where.focus)
    after_fault = after in ("it", "them") and (
        before in _ADDRESSED or bool(reader.talk.ending(reader.talk.of("condition"), event.start))
    )
    return starts or alone or after_fault or (opens and after in _OBJECTS)
