"""What is said of a part: that it has a condition, is free of it, is in order, or was not seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract import qualified, wishes
from witnessmark.extract.binding import targets_for
from witnessmark.extract.controls import as_switch, by_control
from witnessmark.extract.listing import own_predicate
from witnessmark.extract.raw import Raw
from witnessmark.extract.repeated import say_again
from witnessmark.extract.said_of import is_cured, is_nod, is_of_something_else, is_spoken_of, turns
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import fitting_row

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.knowledge.lexicon import Row

_BESIDE = word_set("beside")
_SEEMS = word_set("seeming")
_WHO = word_set("subjects")
_WORKS_LAMP = word_set("works_lamp")
_LITTLE = word_set("some") | {"a", "of", "small", "the", "very", "tiny", "usual", "normal"}


def read_condition(reader: Reader, index: int, event: Event) -> None:
    """Writes down what a condition word says, of each part it is said of."""
    mention = event.mention
    good_for = (
        (
            reader.talk.at(event.start - 1) in ("a", "some", "another", "the")
            or reader.talk.at(event.end) in ("bike", "machine", "scooter", "thing")
        )
        and reader.talk.at(event.end).isalpha()
        and mention is not None
        and mention.id == "sound"
    )
    if mention is None or good_for or is_nod(reader, event) or wishes.is_wished(reader, index, event):
        return
    clause = reader.talk.clauses[event.clause]
    first = reader.talk.norms[event.start]
    opens = event.start == clause.start and clause.opener == "." and first.endswith(("ed", "ing"))
    opens = opens or (first == "stripped" and reader.talk.at(event.end) in ("it", "them"))
    if opens and event.end - event.start == 1 and reader.talk.at(event.end) in ("it", "them", "the"):
        return  # "Stripped it, cleaned it"
    if (
        reader.talk.norms[event.start - 1 : event.end] == ["to", "work"]
        and reader.talk.at(event.start - 2) not in _SEEMS
    ):
        return  # "before he rides it to work"
    if reader.talk.at(event.start - 1) == "brake" and reader.talk.at(event.start - 2) in _WHO:
        return  # "I brake hard"
    ending = reader.talk.norms[clause.start : clause.start + 2] == ["that", "'s"]
    if first == "finished" and (ending or not _names_any(reader, event)):
        return  # "Right, finished."
    agreed = reader.talk.between(reader.talk.cues("agree"), event.start - 8, event.start + 1)
    if any(c.end > event.start for c in agreed) and _answers_a_claim(reader, event):
        return  # "and she's right"
    if reader.talk.at(event.start) == "gone" and (turns(reader, event) or is_cured(reader, event)):
        return
    if reader.talk.at(event.start - 1) == "the" and reader.talk.at(event.end) in ("one", "ones"):
        same = [r.target for r in reader.raws[-12:] if r.condition == mention.id and r.state == "present"]
        reader.where.focus = tuple(dict.fromkeys(same)) or reader.where.focus
        return  # "the loose one I've nipped up"
    targets = targets_for(reader, index, event)
    cue = reader.scopes.denied(mention)
    if not targets and cue and reader.talk.at(cue.start) == "nothing":
        targets = (Target("fasteners"),)
    if not targets:
        targets = tuple(Target(r.data["alone"]) for r in mention.rows if r.data.get("alone"))[:1]
    for target, turned in by_control(reader, index, event, targets):
        row = fitting_row(_beside(reader, event), target.component)
        guessed = any(i in reader.talk.misheard for i in range(event.start, event.end))
        unnamed = row is not None and row.data.get("named") and not is_spoken_of(reader, event)
        unnamed = unnamed or (row is not None and is_of_something_else(reader, event))
        if row and not unnamed and not (guessed and row.id == "sound"):
            dead = row.id == "inoperative" or (cue is not None and row.data.get("denied") == "inoperative")
            by_lamp = dead or reader.talk.at(event.start) in _WORKS_LAMP
            if by_lamp and target.component in ("brake_lever", "brake_pedal"):
                target = as_switch(reader, target, event)
            observe(reader, event, target, row, (cue is not None) != turned)


def _names_any(reader: Reader, event: Event) -> bool:
    """Whether the sentence names a part, or stands a pronoun for one, before a word."""
    clause = event.clause
    clauses = reader.talk.clauses
    while clause > 0 and clauses[clause - 1].sentence == clauses[event.clause].sentence:
        clause -= 1
    start = clauses[clause].start
    words = {"it", "they", "that", "those", "these", "is", "'s", "are"} & set(
        reader.talk.norms[start : event.start]
    )
    return bool(words) or bool(reader.talk.between(reader.talk.parts, start, event.start))


def _answers_a_claim(reader: Reader, event: Event) -> bool:
    """Whether this sentence or the one before tells what somebody says."""
    at, clauses = event.clause, reader.talk.clauses
    first = clauses[at].sentence - 1
    while at >= 0 and clauses[at].sentence >= first:
        if clauses[at].idle == "claim":
            return True
        at -= 1
    return False


def _beside(reader: Reader, event: Event) -> tuple[Row, ...]:
    """Rows of a condition word, those first that a word of the clause calls for."""
    assert event.mention is not None
    clause = reader.talk.clauses[event.clause]
    words = set(reader.talk.norms[clause.start : event.start])
    called = [r for r in event.mention.rows if words & set(r.data.get("beside", ()))]
    return (*called, *(r for r in event.mention.rows if not r.data.get("beside")))


def observe(reader: Reader, event: Event, target: Target, row: Row, denied: bool) -> None:
    """Writes one observation down, denied or hedged as its cues have it."""
    assert event.mention is not None
    hedge = reader.scopes.hedged(event.mention)
    condition, state = row.id, "present"
    if reader.scopes.supposed(event.mention) or (condition == "sound" and qualified.is_none(reader, event)):
        return
    if condition == "sound" and not denied and qualified.is_grudging(reader, event):
        denied, hedge = True, event.mention
    if condition == "sound" and not denied and reader.scopes.unsound(event.mention):
        denied = True
    if denied and condition == "sound":
        if not row.data.get("denied"):
            return
        condition = row.data["denied"]
    elif denied:
        state = "absent"
    if condition != "sound" and (hedge or (state == "absent" and qualified.is_wink(reader, event))):
        state = "unsure"
    start = reader.evidence_start(event)
    raw = Raw(target, start, event.end, event.clause, condition=condition, state=state, why=[row.name])  # type: ignore[arg-type]
    reader.where.stated.add(target)
    raw.word = (event.start, event.end)
    raw.denied = row.data.get("denied")
    worded = {"not", "never"} & set(reader.talk.norms[event.start : event.end])  # a row "does not work"
    raw.flipped = denied if row.id == "sound" else bool(worded) and not denied
    raw.words = " ".join(reader.talk.norms[event.start : event.end])
    reader.raws.append(raw)
    reader.open_list = False


def _counted(reader: Reader, event: Event) -> bool:
    """Whether an exception is only counted: "bar two", "but a couple"."""
    last = reader.talk.at(event.end - 1)
    number = reader.talk.number_at(event.end) or reader.talk.number_at(event.end - 1)
    some = last in ("couple", "few") or reader.talk.at(event.end) in ("some", "a")
    after = number.end if number else event.end
    named = any(p.component for p in reader.talk.starting(reader.talk.parts, after))
    return bool(number or some) and not named


def _raise_for(reader: Reader, index: int, event: Event, later: Event | None) -> bool:
    """ "No leaks except the left fork seal": said of nothing but the exception."""
    before = reader.events[index - 1] if index else None
    if before is None or before.kind != "condition" or not before.mention or before.end != event.start:
        return False
    if not later or later.kind != "part" or not later.part or not later.part.component:
        return False
    if not reader.scopes.denied(before.mention) or later.start - event.end > 3:
        return False
    reader.bound.add(index + 1)
    for target in reader.where.targets(later.part):
        row = fitting_row(before.mention.rows, target.component)
        if row:
            observe(reader, before, target, row, denied=False)
            reader.raws[-1].end = later.end
    return True


def _all_but(reader: Reader, index: int, later: Event, sound: list[Raw]) -> None:
    """ "All work except the right front", "all the lights work bar the tail light": that one does not."""
    assert later.part is not None
    before = next((e for e in reader.events[max(0, index - 2) : index][::-1] if e.kind == "condition"), None)
    if not sound and not (before and before.mention and before.mention.id == "sound"):
        return
    reader.bound.add(index + 1)
    for target in reader.where.targets(later.part):
        for raw in sound:
            raw.dropped = raw.dropped or raw.target == target
        rows = before.mention.rows if before and before.mention else ()
        row = fitting_row(rows, target.component)
        denied = sound[-1].denied if sound else row.data.get("denied") if row else None
        if denied:
            start = sound[-1].start if sound else later.start
            raw = Raw(target, start, later.end, later.clause, condition=denied, state="present")
            raw.why = ["cue:except"]
            reader.raws.append(raw)
    reader.subject_at, reader.subject_clause = later.start, later.clause


def read_exception(reader: Reader, index: int, event: Event) -> None:
    """ "nothing loose except the left mirror", "none loose except one"."""
    sentence = reader.talk.clauses[event.clause].sentence
    here = [r for r in reader.since(sentence) if reader.talk.clauses[r.clause].sentence == sentence]
    denied = [r for r in here if r.state == "absent"]
    sound = [r for r in here if r.condition == "sound"]
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if sound and not denied and _counted(reader, event):
        named = bool(reader.talk.between(reader.talk.of("condition"), event.end, event.end + 3))
        for raw in sound:
            raw.condition = raw.denied or raw.condition  # "all tight bar two"
            raw.dropped = raw.dropped or named  # "all true bar two loose ones"
        return
    if reader.talk.at(event.start) == "but":
        place = later is not None and later.kind == "part" and later.part is not None
        if not place or later is None or own_predicate(reader, index + 1, later) or not sound:
            return  # "all work but the rear left"; not "works but the lens is cracked"
    if reader.talk.at(event.start) == "only" and reader.talk.at(event.end) in (",", "."):
        return  # "from the pedal only, nothing off the lever"
    if (
        later
        and later.kind == "condition"
        and all(w in _LITTLE for w in reader.talk.norms[event.end : later.start])
        and reader.talk.at(event.start) == "only"
    ):
        return  # "no rust, only wear"
    if not denied and _raise_for(reader, index, event, later):
        return
    if not denied:
        if later and later.kind == "part" and later.part and later.start - event.end <= 3:
            _all_but(reader, index, later, sound)
        return
    raw = denied[-1]
    group = [r for r in denied if r.start == raw.start and r.condition == raw.condition]
    if (
        later
        and later.kind == "part"
        and later.part
        and later.start - event.end <= 3
        and later.part.component
    ):
        reader.bound.add(index + 1)
        targets = reader.where.targets(later.part)
        for target in targets:
            say_again(reader, raw, target)
            reader.raws[-1].state = "present"
        reader.subject_at, reader.subject_clause = later.start, later.clause
    else:
        for one in group:
            one.state = "present"
