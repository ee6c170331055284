"""Work: done in the walkround, or wanted."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.extract.wishes import forms_after, ordered, wish_before, wished_after
from witnessmark.extract.worked_on import objects_of
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.types import ActionStatus

_DO = word_set("doers")
_MOVED = word_set("moved_to")
_SAME_FORMS = word_set("same_forms")
_OTHERS = word_set("somebody_else")
_FLUIDS = frozenset(("brake_fluid", "engine_oil", "coolant", "clutch", "gearbox", "fork", "shaft_drive"))


def read_action(reader: Reader, index: int, event: Event) -> None:
    """Makes an action of a work word, when it was done or is wanted."""
    mention = event.mention
    if mention is None:
        return
    if any(
        e.kind == "unseen" and e.start <= event.start and event.start - e.end <= 1
        for e in reader.events[max(0, index - 2) : index + 1]
    ):
        return
    if _not_due(reader, event):
        return
    if mention.rows[0].family == "cue":
        worn = mention.rows[0].id == "wants_worn"
        _emit(reader, event, reader.where.focus, "replace", "wanted", implies_worn=worn)
        return
    row = next((r for r in mention.rows if r.data["form"] in ("past", "alone")), mention.rows[0])
    form = row.data["form"]
    wish = wish_before(reader, event) or wished_after(reader, event)
    forms = {r.data["form"] for r in mention.rows}
    status: ActionStatus
    if "alone" in forms:
        status, wish = "wanted", "alone"
    elif wish:
        wanted_row = next((r for r in mention.rows if r.data["form"] in forms_after(wish)), None)
        wanted_row = wanted_row or (row if reader.talk.at(event.start) in _SAME_FORMS else None)
        if wanted_row is None:
            return
        row, status = wanted_row, "wanted"
    elif "base" in forms and form != "past" and ordered(reader, event):
        status, row = "wanted", next(r for r in mention.rows if r.data["form"] == "base")
    elif "base" in forms and (_done_now(reader, event) or _had_to(reader, event)):
        status, row = "done", next(r for r in mention.rows if r.data["form"] == "base")
    elif form == "past" and (_goes_with_wish(reader, event) or _needs_it(reader, event)):
        status = "wanted"
    elif ("ing" in forms and (reader.talk.at(event.end) == "done" or _just_done(reader, event))) or (
        form == "past" and not _denied(reader, event) and _was_done(reader, event)
    ):
        status = "done"
    else:
        return
    inflated = next((r for r in mention.rows if r.id == "inflate" and r.data["form"] == form), None)
    objects = objects_of(reader, index, event)
    on_tyre = bool(objects or reader.where.focus) and (objects or reader.where.focus)[0].component == "tyre"
    kind = "inflate" if inflated and on_tyre else _kind(reader, event, row.id, status)
    _emit(
        reader,
        event,
        objects,
        kind,
        status,
        implies_worn=_says_worn(wish, row.id, row.data["form"]),
    )


def _done_now(reader: Reader, event: Event) -> bool:
    """ "I tighten it. There, done.": told while it is done."""
    looks = event.mention is not None and event.mention.id == "investigate"
    if reader.talk.norms[max(0, event.start - 2) : event.start] in (["so", "i"], ["so", "we"]):
        return not looks  # "it is stiff so I grease it"
    told = reader.talk.at(event.start - 1) == "i" and reader.talk.at(event.end) in ("it", "them", "that")
    return told and bool({"done", "good", "better"} & set(reader.talk.norms[event.end : event.end + 6]))


def _had_to(reader: Reader, event: Event) -> bool:
    """ "I had to replace the chain": done, though not gladly."""
    at = event.start
    forced = reader.talk.norms[max(0, at - 2) : at] == ["had", "to"]
    return forced and (reader.talk.at(at - 3) in _DO or reader.talk.at(at - 3) in ("", "."))


def _not_due(reader: Reader, event: Event) -> bool:
    """ "the filter isn't due for replacement", "not due yet"."""
    start = reader.talk.clauses[event.clause].start
    before = reader.talk.norms[max(start, event.start - 3) : event.end]
    return "due" in before and "not" in before[: before.index("due")]


def _needs_it(reader: Reader, event: Event) -> bool:
    """ "It hasn't been replaced, but it needs it"."""
    after = reader.talk.norms[event.end : event.end + 6]
    asks = any(after[i : i + 2] in (["needs", "it"], ["need", "it"], ["wants", "it"]) for i in range(5))
    return asks and "." not in after[: after.index("it")] and _denied(reader, event)


def _just_done(reader: Reader, event: Event) -> bool:
    """ "I'm after topping up the oil", as it is said in Ireland."""
    return reader.talk.at(event.start - 1) == "after" and reader.talk.at(event.start - 2) in (
        "am",
        "is",
        "'s",
        "are",
    )


def _goes_with_wish(reader: Reader, event: Event) -> bool:
    """ "I want those cleaned | and greased": the second of two that are wanted."""
    last = reader.raws[-1] if reader.raws else None
    if last is None or last.action is None or last.status != "wanted" or last.dropped:
        return False
    return reader.talk.norms[last.end : event.start] in (["and"], [",", "and"])


def _denied(reader: Reader, event: Event) -> bool:
    """ "have not adjusted it"."""
    return "not" in reader.talk.norms[max(0, event.start - 3) : event.start]


def _was_done(reader: Reader, event: Event) -> bool:
    """Whether a past form tells of work and not of a state: "set", "balanced" need a doer or object."""
    first = reader.talk.at(event.start)
    last = reader.talk.at(event.end - 1)
    if reader.talk.at(event.start - 1) in _OTHERS:
        return False  # "somebody wiped it"
    moved = first in _MOVED and last == "to"
    if moved and not any(reader.talk.number_at(i) for i in range(event.end, event.end + 4)):
        return False  # "I took it out to the airstrip"
    if event.end - event.start == 1 and first in (
        "set",
        "balanced",
        "wound",
        "added",
        "secured",
        "stripped",
        "cleared",
        "brushed",
        "nipped",
        "plugged",
        "sealed",
        "frayed",
        "adjusted",
        "filled",
    ):
        before, after = reader.talk.at(event.start - 1), reader.talk.at(event.end)
        given = reader.talk.number_at(event.end + 1) if after == "to" else None
        if given and "now" in reader.talk.norms[given.end : given.end + 3]:
            return True  # "it's set to eighteen now"
        figure = reader.talk.number_at(event.end) is not None
        return (
            before in _DO
            or figure
            or first in ("adjusted", "filled")
            or after in ("it", "them", "that", "the", "those", "both", "this", "to", "at")
        ) and before not in ("is", "'s", "are", "been", "was", "were")
    if first in ("gave", "made") and last == "it" and event.end - event.start == 2:
        return reader.talk.number_at(event.end) is not None
    return not (last == "secure" or first == "looks")


def _says_worn(wish: str, kind: str, form: str) -> bool:
    first = wish.split()[0] if wish else ""
    return (
        kind == "replace"
        and first in ("needs", "need", "wants", "want", "requires", "require", "needed", "needing", "wanting")
    ) or (
        kind == "replace"
        and wish.startswith(("will need", "'ll need", "going to need", "gonna need", "in need of"))
    )


def _kind(reader: Reader, event: Event, kind: str, status: str) -> str:
    """Lets a figure or the part settle words that name two kinds of work."""
    words = " ".join(reader.talk.norms[event.start : event.end])
    focus = reader.where.focus[0].component if reader.where.focus else ""
    if kind == "inflate" and focus != "tyre":
        if words.startswith(("took", "brought", "set")):
            return "adjust"
        if "top" in words:
            return "top_up"
    if (
        kind == "adjust"
        and focus == "tyre"
        and words.startswith(("put", "brought", "took", "taken", "set", "moved"))
        and "up" in words
    ):
        return "inflate"
    if kind == "clean" and "flush" in words and focus in _FLUIDS:
        return "replace"
    return kind


def _emit(
    reader: Reader,
    event: Event,
    targets: tuple[Target, ...],
    kind: str,
    status: ActionStatus,
    implies_worn: bool,
) -> None:
    for target in targets:
        if moved := vocabulary().work_on.get(kind, {}).get(target.component):
            target = Target(moved[0], moved[1])  # type: ignore[arg-type]
        raw = Raw(target, reader.evidence_start(event), event.end, event.clause, action=kind, status=status)
        raw.why = [f"action:{kind}"]
        if implies_worn and status == "wanted":
            raw.why.append("implies:worn")
        reader.raws.append(raw)
    reader.open_list = False


def add_worn(reader: Reader) -> None:
    """ "Needs replacing" makes a part worn, unless another defect of it was said."""
    of_target: dict[Target, list[Raw]] = defaultdict(list)
    for raw in reader.raws:
        of_target[raw.target].append(raw)
    for raw in list(reader.raws):
        if "implies:worn" not in raw.why or raw.dropped or raw.target.component in vocabulary().never_worn:
            continue
        reasons = [
            r
            for r in of_target[raw.target]
            if not r.dropped and r.state in ("present", "unsure") and r.condition != "sound"
        ]
        if not reasons:
            worn = Raw(raw.target, raw.start, raw.end, raw.clause, condition="worn", state="present")
            worn.why = ["action:replace", "implies:worn"]
            reader.raws.append(worn)
            of_target[raw.target].append(worn)
