"""Lamps and the controls that work them: what is said of a lamp by its lever or pedal is said of a switch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.heads import named_by
from witnessmark.extract.listing import own_predicate
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_YES = word_set("answer_yes")
_NO = word_set("answer_no")
_LEADS = word_set("control_leads")
_AT = word_set("at_control")
_AGAINST = word_set("against")
_RECENT = 6
"""Parts back to which a lamp is still spoken of."""


def by_control(
    reader: Reader, index: int, event: Event, targets: tuple[Target, ...]
) -> list[tuple[Target, bool]]:
    """ "brake light works from the pedal, not the lever": what is judged is each control's switch.

    Gives each target with whether "not" stands before its control.
    """
    table = vocabulary().worked_by.get(targets[0].component if targets else "", {})
    found: list[tuple[Target, bool]] = [
        (t, False) for t in reader.controls if table and _goes_on_there(reader, event)
    ]
    if found:
        return found
    for at in range(index + 1, min(index + 4, len(reader.events))):
        later = reader.events[at]
        if later.start < event.end:
            continue  # the verb of "doesn't work"
        if "." in reader.talk.norms[event.end : later.start]:
            break
        if (
            later.kind == "condition"
            and later.mention
            and later.mention.id == "sound"
            and later.start == event.end
        ):
            continue  # "comes on | fine from the front one"
        if not table or later.start - event.end > 8 or later.kind != "part" or not later.part:
            break
        between = [reader.talk.at(i) for i in range(event.end, later.start)]
        if _AGAINST & set(between) or ("does" in between and "not" not in between):
            break  # "with the hand lever, yet you can stamp on the pedal and it stays dead"
        lead = {"from", "off", "on", "with", "by", "via", "and", "or"} & set(between)
        if not lead or ({"and", "but", ","} & set(between) and own_predicate(reader, at, later)):
            break
        for control in controls(later.part):
            if control in table:
                component, end = table[control]
                found.append((Target(component, end), bool({"not", "nothing", "nowt"} & set(between))))  # type: ignore[arg-type]
                reader.bound.add(at)
    return found or [(t, False) for t in targets]


def _goes_on_there(reader: Reader, event: Event) -> bool:
    """Whether a clause is that in which a control was named, or goes on from it: "... and it stays dead"."""
    clause = reader.talk.clauses[event.clause]
    words = reader.talk.norms[clause.start : clause.start + 2]
    onward = words in (["and", "it"], ["but", "it"], ["and", "nothing"])
    onward = onward or reader.talk.norms[clause.start : event.start] == [","]  # "from front lever, working"
    return reader.control_clause in (event.clause, event.clause - onward)


def take_control(reader: Reader, event: Event, part: Part) -> bool:
    """ "and off the lever only now and then": a control named before what is said of its lamp."""
    lamp = reader.where.focus[0].component if reader.where.focus else ""
    table = vocabulary().worked_by.get(lamp, {})
    names = [c for c in controls(part) if c in table]
    before = reader.talk.at(event.start - 1)
    if not names or before not in ("from", "off", "on", "with", "by", "via"):
        return False
    reader.controls = tuple(Target(*table[c]) for c in names)  # type: ignore[arg-type]
    reader.control_clause = event.clause
    return True


def places_switch(reader: Reader, event: Event, part: Part) -> bool:
    """ "brake light switch on the pedal": the control says which switch is meant."""
    focus = reader.where.focus[0].component if reader.where.focus else ""
    switches = [t for rows in vocabulary().worked_by.values() for t in rows.items() if t[1][0] == focus]
    names = [target for name, target in switches if name == part.component]
    lead = event.start if reader.talk.at(event.start) in _AT else event.start - 1
    if not names or not reader.open_list or reader.talk.at(lead) not in _AT:
        return False
    reader.where.focus = tuple(Target(*target) for target in names)  # type: ignore[arg-type]
    return True


def read_lone_control(reader: Reader, event: Event, part: Part) -> bool:
    """ "hand lever yes, foot pedal no", "from the pedal only", "nothing off the lever": the control alone."""
    if _is_lamp(part) and (lit := _says(reader, event)) is not None:
        for target in reader.where.targets(part):
            _write(reader, event, target, lit)
        return True
    table = _lamp(reader)
    names = [c for c in controls(part) if c in table]
    works = _says(reader, event) if names else None
    if works is None:
        return False
    for name in names:
        _write(reader, event, Target(*table[name]), works)  # type: ignore[arg-type]
    return True


def _is_lamp(part: Part) -> bool:
    electric = vocabulary().components[part.component or "machine"].group == "electrics"
    return electric and part.component not in ("battery", "charging", "wiring") and not part.word


def _write(reader: Reader, event: Event, target: Target, works: bool) -> None:
    """Writes down that a lamp or switch works, or does not."""
    start = min(reader.talk.clauses[event.clause].start, event.start)
    raw = Raw(target, start, min(event.end + 2, len(reader.talk.norms)), event.clause, state="present")
    raw.condition, raw.why = "sound" if works else "inoperative", ["control"]
    reader.raws.append(raw)
    reader.where.stated.add(target)
    reader.open_list = False


def _says(reader: Reader, event: Event) -> bool | None:
    """Whether a lamp is said to work from the control named there, with no other word for it."""
    talk, after = reader.talk, event.end
    while talk.at(after) in (",", ":", "-"):
        after += 1
    ends = talk.at(after + 1) in (",", ".", "", "and", "but", ";")
    if talk.at(after) in _YES | {"only"} and ends:
        return True
    if talk.at(after) in _NO and ends:
        return False
    lead = event.start if talk.at(event.start) in _LEADS else event.start - 1
    if talk.at(lead) in _LEADS and talk.at(lead - 1) in ("nothing", "nowt", "none"):
        return False
    works = talk.at(lead - 1) in ("does", "do") and talk.at(lead - 2) in (",", "but", "and", ";", ".", "it")
    return True if talk.at(lead) in _LEADS and (talk.at(lead - 1) == "only" or works) else None


def _lamp(reader: Reader) -> dict[str, tuple[str, str]]:
    """Controls → switches of the lamp spoken of a moment ago, if it has any."""
    tables = vocabulary().worked_by
    recent = [t.component for t in reader.where.spoken[-_RECENT:] if t.component in tables]
    return tables[recent[-1]] if recent else {}


def as_switch(reader: Reader, target: Target, event: Event | None = None) -> Target:
    """The switch that a control works, where its lamp was spoken of a moment ago or stands in an event."""
    tables = vocabulary().worked_by
    words = reader.talk.norms[event.start : event.end] if event else []
    spans = (words[i:j] for i in range(len(words)) for j in range(i + 1, len(words) + 1))
    named = next((tables[c] for s in spans if (c := named_by(s)) in tables), None)
    switch = (named or _lamp(reader)).get(target.component)
    return Target(switch[0], switch[1]) if switch else target  # type: ignore[arg-type]


def controls(part: Part) -> tuple[str, ...]:
    """Controls a phrase names: lever, pedal, "the front brake", "both"."""
    if "both" in part.word or part.ends == ("front", "rear"):
        return ("brake_lever", "brake_pedal")
    if part.component in (None, "brake_lever") and part.sides and not part.ends:
        return tuple("brake_pedal" if s == "left" else "brake_lever" for s in part.sides)  # a scooter's
    if part.component in (None, "brakes", "brake_lever") and part.ends:
        return ("brake_lever" if part.ends[0] == "front" else "brake_pedal",)
    return (part.component or "",)
