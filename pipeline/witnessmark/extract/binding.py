"""Which part something is said of: one named right after it, or the subject."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.listing import take, take_listed
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import fitting_row
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_INTO = word_set("into")

_PREDICATES = ("condition", "measure", "code", "unseen", "action")

_BE = word_set("be")
_MODALS = word_set("modals")
_BELONGS = word_set("belongs")
_LEADING = word_set("leading")
_PRESENTING = word_set("presenting")
_FINDERS = word_set("finders")


def targets_for(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """What a condition or figure is said of: a part right after it, else the subject."""
    found = (
        _measured_in(reader, index, event)
        or attributed(reader, index, event)
        or after_preposition(reader, index, event)
    )
    return found or _inside(reader, index, event) or _felt(reader, event) or reader.where.focus


def _felt(reader: Reader, event: Event) -> tuple[Target, ...]:
    """ "Grabbed the swingarm and heaved, and there's no play": what the hand was laid on."""
    sentence = reader.talk.clauses[event.clause].sentence
    word = event.mention.id if event.mention else ""
    if subject_here(reader, event) or sentence != reader.handled_in:
        return ()
    if felt := vocabulary().felt_by.get(reader.handled[0].component if reader.handled else ""):
        found = (Target(felt[word], t.end if t.end else None) for t in reader.handled if word in felt)
        return tuple(
            t if vocabulary().components[t.component].takes_end else Target(t.component) for t in found
        )
    firm = word == "sound" and reader.talk.at(event.start) in ("firm", "smooth", "free")
    if not (reader.handled and (firm or word in ("play", "notchy", "stiff", "spongy"))):
        return ()
    reader.where.focus = reader.handled
    return reader.handled


def _inside(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "front wheel ... two millimetres in the centre of the tyre", "a tooth chipped off the ring"."""
    focus = reader.where.focus[0].component if reader.where.focus else ""
    container = event.kind == "measure" and focus in ("wheel", "brakes")
    fitting = event.kind == "condition" and is_fitting(reader)
    beside = reader.talk.at(event.end) in ("by", "for", "through")
    return object_after(reader, index, reach=6) if (container or fitting) and not beside else ()


def is_fitting(reader: Reader) -> bool:
    """Whether the subject is a tooth, bolt or the like, which belongs to a part named after it."""
    named = reader.talk.starting(reader.talk.parts, reader.subject_at)
    return any(reader.talk.at(p.head[1] - 1) in _BELONGS for p in named)


def _measured_in(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "ten millimetres of slack in the belt": the figure is of what is named after its quantity."""
    measured = event.kind == "measure" and reader.talk.at(event.end) == "of"
    if not measured or not bool(reader.talk.starting(reader.talk.of("quantity"), event.end + 1)):
        return ()
    at = index
    named = reader.talk.starting(reader.talk.of("quantity"), event.end + 1)[0]
    while at + 1 < len(reader.events) and reader.events[at + 1].start < named.end:
        at += 1
    return object_after(reader, at, reach=5)


def subject_here(reader: Reader, event: Event) -> bool:
    """Whether the clause names a subject before an event."""
    clause = reader.talk.clauses[event.clause]
    if clause.start <= reader.subject_at < event.start and reader.subject_clause == event.clause:
        return True
    goes_on = reader.talk.at(clause.start + (clause.opener != ".")) in _BE | {
        "must",
        "needs",
        "wants",
        "will",
    }
    return goes_on and clause.opener == "," and reader.same_sentence(event)


def attributed(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "a cracked hose": an adjective right before the name, not one that ends a statement."""
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later is None or later.kind != "part" or later.start != event.end or not later.part:
        return ()
    if not later.part.component or later.part.head[0] != later.start or later.clause != event.clause:
        return ()
    clause = reader.talk.clauses[event.clause]
    before = reader.talk.norms[clause.start : event.start]
    counted = reader.talk.at(event.start - 1) in ("a", "an", "some", "several") or any(
        n.end == event.start and n.plain and n.value < 20 for n in reader.talk.numbers
    )
    counted = counted and event.mention is not None and event.mention.id != "sound"
    if (
        not counted
        and subject_here(reader, event)
        and (set(before) & _BE or (reader.open_list and "," not in before))
    ):
        return ()
    if event.mention and not any(fitting_row(event.mention.rows, later.part.component) for _ in (0,)):
        return ()
    return take(reader, index + 1)


def after_preposition(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "a crack in the sidewall", when no subject stands before it."""
    if _pronoun_subject(reader, event):
        return ()
    missing = (
        event.mention is not None and event.mention.id == "missing" and reader.talk.at(event.end) == "from"
    )
    if subject_here(reader, event) and not missing and not presented(reader, event):
        return ()
    at = index
    while at + 1 < len(reader.events) and lists_on(reader, reader.events[at], reader.events[at + 1]):
        at += 1
    return object_after(reader, at, reach=5)


def _pronoun_subject(reader: Reader, event: Event) -> bool:
    """ "and it's chafing on the frame": "it" is what was spoken of."""
    clause = reader.talk.clauses[event.clause]
    norms = [
        w for w in reader.talk.norms[clause.start : event.start] if w not in (",", "and", "but", "so", ":")
    ]
    adjective = event.mention is not None and reader.talk.at(event.start - 1) not in (
        "a",
        "an",
        "some",
        "any",
        "no",
        "slight",
        "of",
        "little",
    )
    says = len(norms) > 1 and norms[0] in ("it", "they", "she", "he") and norms[1] in _BE | _MODALS
    return says and (adjective or norms[1:2] != ["'s"]) and bool(reader.where.focus)


def presented(reader: Reader, event: Event) -> bool:
    """ "no play in the ...", "there's a crack in the ...": what follows names its part."""
    noun = event.mention is not None and any(r.data.get("noun") for r in event.mention.rows)
    before = reader.talk.norms[max(0, event.start - 3) : event.start]
    if noun and _is_felt(reader, event):
        return True
    return (
        noun
        and bool({"no", "there", "one"} & set(before))
        and (before[-2:] == ["with", "no"] or not {"has", "have", "with", "had"} & set(before))
    )


def _is_felt(reader: Reader, event: Event) -> bool:
    """ "Rocking the wheel I get a bit of play in the bearings": who finds it stands before it."""
    words = reader.talk.norms[max(0, event.start - 6) : event.start]
    found = [i for i in range(1, len(words)) if words[i] in _PRESENTING and words[i - 1] in _FINDERS]
    return bool(found) and not {",", ".", "and", "but"} & set(words[found[-1] :])


def lists_on(reader: Reader, one: Event, two: Event) -> bool:
    """Whether two conditions are neighbours in a list: "no cracks, cuts or bulges"."""
    if two.kind != "condition":
        return False
    between = [reader.talk.at(i) for i in range(one.end, two.start)]
    return len(between) <= 3 and all(w in (",", "or", "and", "nor", "no", "any") for w in between)


def object_after(reader: Reader, index: int, reach: int) -> tuple[Target, ...]:
    """Targets of the part after a preposition that follows an event."""
    event = reader.events[index]
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    while later and later.kind == "action" and later.start < event.end:
        index += 1  # the verb "oil" of "oil on the disc"
        later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later is None or later.kind != "part" or not later.part or later.start - event.end > reach:
        return ()
    if (
        later.part.word == "zone"
        or reader.talk.clauses[later.clause].sentence != reader.talk.clauses[event.clause].sentence
    ):
        return ()
    between = [reader.talk.at(i) for i in range(event.end, later.part.head[0])]
    leads = reader.talk.at(event.end - 1) in _LEADING and event.end - event.start > 1  # "oil running down"
    if not (leads or any(w in _INTO for w in between[:4])) or "," in between:
        return ()
    if later.part.component is None or works_lamp(reader, later.part):
        return ()
    focus = reader.where.focus[0].component if reader.where.focus else ""
    if focus in ("fork_seal", "dust_seal") and later.part.component == "fork":
        return ()  # "leaking down the leg"
    return take_listed(reader, index + 1)


def works_lamp(reader: Reader, part: Part) -> bool:
    """Whether a part is a control of the lamp spoken of, and not what is judged."""
    lamp = reader.where.focus[0].component if reader.where.focus else ""
    table = vocabulary().worked_by.get(lamp, {})
    by_end = {"front": "brake_lever", "rear": "brake_pedal"}
    control = by_end[part.ends[0]] if part.component == "brakes" and part.ends else part.component
    return control in table or ("both" in part.word and bool(table))
