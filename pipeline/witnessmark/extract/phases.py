"""Whether a figure is as found or as work left it, and the work that a pair of figures tells of."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from witnessmark.extract.measures import FAMILIES, KIND_OF
from witnessmark.extract.numberruns import MOVES
from witnessmark.extract.pairs import left_second
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Measure, Target
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_TO = word_set("up_to")
_WORKING = ("adjust", "inflate", "tighten", "top_up", "align", "replace", "repair", "clean")
_ADJUSTING = ("adjust", "inflate", "tighten")
_IT = word_set("work_pronouns")
_KEPT = word_set("kept")
_OF_ITSELF = word_set("of_itself")
_STATES = word_set("phase_states")
_WAYS = word_set("ways")
_CHANGING = frozenset(("adjust", "inflate", "tighten", "replace", "repair", "align", "bleed"))
"""Work that can bring a figure to another."""
_NEAR = 9
"""Words between the work and what it brought a thing to."""
_SENTENCES = 2
"""Sentences back to what was found."""


def is_left(reader: Reader, index: int, event: Event) -> bool:
    """Whether a figure is what a thing was left at: "set it to 30", "pumped it up to 36", "30 as left"."""
    measure = event.measure
    assert measure is not None
    if reader.talk.at(measure.start - 1) == "from" or FAMILIES.get(measure.unit or "") == "time":
        return False
    return (
        _said_left(reader, measure)
        or _brought_from(reader, index, measure)
        or _by_work(reader, index, event)
        or _moved_to(reader, event)
        or _now(reader, event)
    )


def found_before(reader: Reader, event: Event) -> Raw | None:
    """The last figure found that what was left can be compared with, at most two sentences back."""
    measure, now = event.measure, reader.talk.clauses[event.clause].sentence
    assert measure is not None
    for raw in reversed(reader.raws[-12:]):
        if now - reader.talk.sentence_of(raw.end - 1) > _SENTENCES:
            return None
        if raw.quantity in KIND_OF and not raw.dropped:
            same = measure.unit is None or FAMILIES.get(measure.unit) == KIND_OF[raw.quantity]
            return raw if same else None
    return None


def work_told(reader: Reader, event: Event, targets: tuple[Target, ...], quantity: str) -> None:
    """Adds the adjustment that a pair of figures tells of, where no work on the part was said."""
    for target in targets:
        found = [r for r in reader.raws[-12:] if r.target == target and not r.dropped]
        if any(r.action in _CHANGING and r.status == "done" for r in found):
            continue
        before = next((r for r in reversed(found) if r.quantity == quantity and r.phase == "found"), None)
        if before is None:
            continue
        kind = "tighten" if quantity == "torque" else "adjust"
        raised = isinstance(before.value, float) and event.measure and event.measure.value > before.value
        raw = Raw(target, reader.evidence_start(event), event.end, event.clause, status="done")
        raw.action = "inflate" if quantity == "pressure" and raised else kind
        here = [r for r in reader.raws[-6:] if r.clause == event.clause]
        beside = (r for r in reversed(here) if r.action in _CHANGING and r.status == "done")
        raw.action = next((r.action for r in beside if r.target.component == target.component), raw.action)
        raw.why = [f"action:{raw.action}", "found and left"]
        reader.raws.append(raw)


def turned(reader: Reader, event: Event) -> None:
    """ "Now slack is 28, before it was 52": what was said first is how it was left."""
    before = reader.talk.norms[max(0, event.start - 4) : event.start]
    last = next((r for r in reversed(reader.raws[-4:]) if r.quantity in KIND_OF and not r.dropped), None)
    if last is None or last.phase == "left" or not {"before", "previously", "came"} & set(before):
        return
    said = reader.talk.norms[reader.talk.clauses[last.clause].start : last.end]
    if "now" in said and reader.talk.sentence_of(last.start) == reader.talk.sentence_of(event.start):
        last.phase = "left"


def _said_left(reader: Reader, measure: Measure) -> bool:
    """ "30 mm as left", "left her at an inch and a quarter"."""
    talk = reader.talk
    after = talk.norms[measure.end : measure.end + 2]
    if after == ["as", "left"]:
        return True
    if after[:1] == ["left"] and after[1:] in ([], ["."], [","]):
        return "found" in talk.norms[max(0, measure.start - 4) : measure.start]  # "30 found, 42 left"
    last = next(iter(talk.between(talk.measures, measure.start - 6, measure.start)), None)
    if talk.at(measure.start - 1) == "left" and last and talk.at(last.start - 1) == "found":
        return True  # "found 55, left 35"
    if talk.at(measure.start - 1) in _KEPT:
        return True  # "adjusted and kept 3 mm"
    at = measure.start - (talk.at(measure.start - 1) in ("at", "on", "with", ",", ":", "is"))
    if talk.norms[max(0, at - 2) : at] == ["as", "left"]:
        return True
    return talk.at(at - 1) in _IT and talk.at(at - 2) == "left" and talk.at(measure.start - 1) in ("at", "on")


def _by_work(reader: Reader, index: int, event: Event) -> bool:
    """ "set it to 30", "blew the front up to 33 and the rear to 36"."""
    measure = event.measure
    assert measure is not None
    for earlier in reversed(reader.events[max(0, index - 4) : index]):
        if earlier.kind == "action" and earlier.mention and earlier.mention.rows[0].family == "action":
            return _aims_at(reader, earlier, event)
        if earlier.kind == "measure":
            return _goes_on(reader, earlier, event)
        if earlier.kind == "code":
            return False
    before = reader.talk.norms[max(0, measure.start - 4) : measure.start]
    worked = any(r.action in _ADJUSTING and r.status == "done" for r in reader.raws[-3:])
    return worked and "now" in before and "." not in before


def _aims_at(reader: Reader, work: Event, event: Event) -> bool:
    """Whether work was done to bring a thing to a figure."""
    measure, mention = event.measure, work.mention
    assert measure is not None
    assert mention is not None
    first = reader.talk.at(work.start)
    row = next((r for r in mention.rows if r.data.get("form") == "past"), mention.rows[0])
    between = reader.talk.norms[work.start : measure.start]
    if first in _OF_ITSELF and reader.talk.at(work.start - 1) in _STATES:
        return False  # "it's opened up to one"
    if _of_another(reader, work, event):
        return False
    near = measure.start - work.end <= _NEAR
    before = reader.talk.norms[max(0, work.start - 2) : work.start]
    told = row.data["form"] == "past" or before in (["had", "to"], ["so", "i"], ["so", "we"])
    done = told and row.id in _WORKING
    same = reader.talk.clauses[work.clause].sentence == reader.talk.clauses[event.clause].sentence
    direct = work.end == measure.start or first in ("after", "gave", "given", "made")
    gauged = row.id == "replace" and bool({"measure", "measures", "read", "reads"} & set(between))
    aimed = bool((_TO | {"at", "now"}) & set(between[-5:])) or row.id == "inflate" or direct or gauged
    return near and done and same and aimed


def _of_another(reader: Reader, work: Event, event: Event) -> bool:
    """ "put new pads in, the disc measures 4.2": the figure is of a part that was not worked on."""
    worked = {r.target.component for r in reader.raws[-6:] if r.action and r.end == work.end}
    named = reader.talk.between(reader.talk.parts, work.end, event.start)
    return bool(worked) and any(p.component and p.component not in worked for p in named)


def _goes_on(reader: Reader, earlier: Event, event: Event) -> bool:
    """ "... up to thirty-three and the rear up to thirty-six": the second figure is left too."""
    measure = event.measure
    assert measure is not None
    before = next((r for r in reversed(reader.raws) if r.quantity), None)
    left = before is not None and before.end == earlier.end and before.phase == "left"
    between = reader.talk.norms[earlier.end : measure.start]
    if left and between == ["and"] and left_second(reader, measure):
        return True
    joined = between[:1] in (["and"], [","]) and len(between) <= _NEAR
    return left and joined and between[-1] in (*_TO, "at")


def _moved_to(reader: Reader, event: Event) -> bool:
    """ "38 of slack, brought to 25": moved after something was found."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    found, before = found_before(reader, event), talk.at(measure.start - 1)
    if found is None:
        return False
    if talk.between(talk.parts, found.end, measure.start):
        return False
    led = talk.norms[max(0, measure.start - 5) : measure.start - 1]
    became = any(w in _STATES for w, after in pairwise(led) if after in MOVES or after in _WAYS)
    if became:
        return False  # "it's opened up to one", "the rear's down to two"
    if before in _TO and talk.at(measure.start - 2) in _WAYS:
        return True
    return before == "made" or (before in (*_TO, "at") and talk.near_before(measure.start, MOVES, 5))


def _now(reader: Reader, event: Event) -> bool:
    """ "Free play was 32. ... 25 now": another figure of what was found."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    before = talk.norms[max(0, measure.start - 4) : measure.start]
    said = "now" in talk.norms[measure.end : measure.end + 1] or ("now" in before and "." not in before)
    found = found_before(reader, event)
    if not said or found is None or found.phase != "found" or found.value == measure.value:
        return False
    return not any(p.component for p in talk.between(talk.parts, found.end, measure.start))


def _brought_from(reader: Reader, index: int, measure: Measure) -> bool:
    """ "took the chain from fifty down to a nice easy thirty-two": the second figure is what was left."""
    near = reader.events[max(0, index - 3) : index]
    first = next((e for e in reversed(near) if e.kind == "measure"), None)
    if first is None or reader.talk.at(first.start - 1) != "from":
        return False
    between = reader.talk.norms[first.end : measure.start]
    moved = reader.talk.near_before(first.start - 1, MOVES, 7)
    return moved and len(between) <= 6 and bool(_TO & set(between))
