"""Work: done in the walkround, or wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.types import ActionStatus

_SOFT = frozenset("to be a an the some it them that this those these new proper good both really definitely just also soon badly now and then getting got being going is are in for with at least next straight away urgently either probably one again , them both yes well another up".split())  # fmt: skip
_DO = frozenset(("i", "have", "'ve", "we", "and", "so", "then", ",", "just", "now", "also", "it", "all", "both", "re", "'s", "been", "is", "got", "has", "already", "which", "that", "them", "since"))


def read_action(reader: Reader, index: int, event: Event) -> None:
    """Makes an action of a work word, when it was done or is wanted."""
    mention = event.mention
    if mention is None:
        return
    if any(e.kind == "unseen" and e.start <= event.start and event.start - e.end <= 1 for e in reader.events[max(0, index - 2) : index + 1]):
        return
    if mention.rows[0].family == "cue":
        _emit(reader, event, reader.where.focus, "replace", "wanted", implies_worn=False)
        return
    row = next((r for r in mention.rows if r.data["form"] in ("past", "alone")), mention.rows[0])
    form = row.data["form"]
    wish = _wish(reader, event) or _wished_after(reader, event)
    forms = {r.data["form"] for r in mention.rows}
    status: ActionStatus
    if "alone" in forms:
        status, wish = "wanted", "alone"
    elif wish:
        wanted_row = next((r for r in mention.rows if r.data["form"] in _forms_after(wish)), None)
        if wanted_row is None:
            return
        row, status = wanted_row, "wanted"
    elif "base" in forms and form != "past" and _ordered(reader, event):
        status, row = "wanted", next(r for r in mention.rows if r.data["form"] == "base")
    elif form == "past" and not _denied(reader, event) and _was_done(reader, event):
        status = "done"
    else:
        return
    kind = _kind(reader, event, row.id, status)
    _emit(reader, event, _objects(reader, index, event), kind, status, implies_worn=_says_worn(wish, row.id, row.data["form"]))


def is_wished(reader: Reader, index: int, event: Event) -> bool:
    """Whether a condition word is the work of a wish: "must be stripped", "needs cleaning"."""
    same = [e for e in reader.events[max(0, index - 2) : index + 3] if e.kind == "action" and e.start == event.start]
    done = reader.talk.at(event.start - 1) in ("i", "have", "'ve", "we")
    return any(_wish(reader, e) or (done and e.mention and e.mention.rows[0].family == "action") for e in same)


def _forms_after(wish: str) -> tuple[str, ...]:
    """Which forms of a work word a wish takes: "needs replacing", "I'd replace", "to be replaced"."""
    if wish in ("i 'd", "i would", "to", "should", "we should", "must", "let 's", "i want to", "we need to", "needs to", "better"):
        return ("base", "ing", "thing")
    return ("ing", "past", "thing", "base")


def _wish(reader: Reader, event: Event) -> str:
    """The words that make work wanted, standing shortly before it in its sentence."""
    talk = reader.talk
    clause = talk.clauses[event.clause]
    for cue in reversed([c for c in talk.cues("wants") if c.end <= event.start + 1]):
        if cue.start < talk.clauses[max(0, event.clause - 1)].start:
            break
        same = talk.clauses[_clause(reader, cue.start)].sentence == clause.sentence
        between = talk.norms[cue.end : event.start]
        words = " ".join(talk.norms[cue.start : cue.end])
        loose = words.split()[0] not in ("to", "for", "get", "gets", "please", "let")
        room = 4 if loose else 2
        plain = [w for w in between if w not in _SOFT]
        named = any(cue.end <= p.start < event.start for p in talk.parts)
        if any(cue.end <= m.start < event.start for m in talk.measures):
            continue
        if same and (len(plain) <= (room if named else 1)) and not _other_work(reader, cue.end, event.start) and _really(reader, words, event):
            return words
    for cue in reversed(talk.cues("wants")):
        listed = talk.norms[cue.end : event.start]
        if 0 < len(listed) <= 6 and {"and", "or"} & set(listed) and _other_work(reader, cue.end, event.start) and _clause_sentence(reader, cue.start) == clause.sentence:
            words = " ".join(talk.norms[cue.start : cue.end])
            if event.mention and any(r.data.get("form") in ("ing", "thing") for r in event.mention.rows) and words not in ("to", "for"):
                return words
    return ""


def _wished_after(reader: Reader, event: Event) -> str:
    """ "replacement needed", "new pads please"."""
    forms = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    after = reader.talk.at(event.end)
    if after in ("is", "are"):
        after = reader.talk.at(event.end + 1)
    wished = after in ("needed", "required", "recommended", "necessary", "advised", "wanted", "please", "due", "overdue")
    return "needed" if wished and forms & {"ing", "thing", "base"} else ""


def _really(reader: Reader, words: str, event: Event) -> bool:
    """Keeps "for" and "to" from wishing before a past form: "I went to the rack and oiled it"."""
    forms = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    if words in ("to",):
        return "base" in forms and reader.talk.at(event.start - 1) == "to" and reader.talk.at(event.start - 2) in ("need", "needs", "want", "wants", "have", "has", "ought", "going", "you", "us", "recommend", "advise", "like", "got")
    if words in ("for",):
        return forms & {"ing", "thing"} != set() and reader.talk.at(event.start - 1) in ("for", "a", "new")
    return True


def _other_work(reader: Reader, start: int, end: int) -> bool:
    return any(e.kind == "action" and start <= e.start and e.end <= end for e in reader.events)


def _clause(reader: Reader, token: int) -> int:
    from witnessmark.extract.clauses import clause_at

    return clause_at(reader.talk.clauses, token)


def _clause_sentence(reader: Reader, token: int) -> int:
    return reader.talk.clauses[_clause(reader, token)].sentence


def _ordered(reader: Reader, event: Event) -> bool:
    """ "it's worn out, replace it": a bare verb with an object at the start of a clause."""
    before, after = reader.talk.at(event.start - 1), reader.talk.at(event.end)
    if event.mention and event.mention.id == "investigate":
        return False
    return before in (",", ".", "so", "please", "and", ";", "-") and after in ("it", "them", "that", "the", "both", "those", "this", "these", "all")


def _denied(reader: Reader, event: Event) -> bool:
    """ "have not adjusted it"."""
    return "not" in reader.talk.norms[max(0, event.start - 3) : event.start]


def _was_done(reader: Reader, event: Event) -> bool:
    """Whether a past form tells of work and not of a state: "set", "torqued", "balanced" need a doer or an object."""
    first = reader.talk.at(event.start)
    last = reader.talk.at(event.end - 1)
    if event.end - event.start == 1 and first in ("set", "balanced", "wound", "added", "secured", "stripped", "cleared", "brushed", "nipped", "plugged", "sealed", "frayed"):
        before, after = reader.talk.at(event.start - 1), reader.talk.at(event.end)
        return (before in _DO or after in ("it", "them", "that", "the", "those", "both", "this")) and before not in ("is", "'s", "are", "been", "was", "were")
    return not (last == "secure" or first == "looks")


def _says_worn(wish: str, kind: str, form: str) -> bool:
    first = wish.split()[0] if wish else ""
    return kind == "replace" and first in ("needs", "need", "wants", "want", "requires", "require", "needed", "needing", "wanting") or (kind == "replace" and wish.startswith(("will need", "'ll need", "going to need", "gonna need", "in need of")))


def _kind(reader: Reader, event: Event, kind: str, status: str) -> str:
    """Lets a figure or the part settle words that name two kinds of work."""
    words = " ".join(reader.talk.norms[event.start : event.end])
    focus = reader.where.focus[0].component if reader.where.focus else ""
    if kind == "inflate" and focus != "tyre":
        if words.startswith(("took", "brought", "set")):
            return "adjust"
        if "top" in words:
            return "top_up"
    if kind == "adjust" and focus == "tyre" and words.startswith(("put", "brought", "took")) and "up" in words:
        return "inflate"
    return kind


def _objects(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """What was worked on: named right after the work word, or before it, or the part spoken of."""
    talk = reader.talk
    inside = [i for i, e in enumerate(reader.events) if e.kind == "part" and e.part and event.start <= e.start < event.end]
    if inside and event.mention:
        reader.bound.update(inside)
        part = reader.events[inside[0]].part
        if part and part.component is None:
            return reader.where.targets(part) or reader.where.focus
        if event.mention.id not in ("lubricate", "top_up", "inflate"):
            return reader._take_listed(inside[0])
        return reader.where.focus
    form = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    if not ({"ing"} >= form) or talk.at(event.end) in ("the", "both", "all", "this", "that", "those", "these"):
        for at in range(index + 1, min(index + 3, len(reader.events))):
            later = reader.events[at]
            between = talk.norms[event.end : later.start]
            pronoun = any(w in ("it", "them", "that", "those", "up", ",", "and", "so", "but", "because", "to", "now") for w in between)
            if later.kind == "part" and later.part and later.part.component and len(between) <= 4 and not pronoun and not _new_statement(reader, later, event):
                return reader._take_listed(at)
            if later.kind == "part" and later.part and later.part.component is None and later.part.word != "same":
                if between == [] and not reader._own_predicate(at, later):
                    reader.bound.add(at)
                    return reader.where.targets(later.part) or reader.where.focus
            if later.kind in ("action", "condition", "measure", "unseen"):
                break
    if "thing" in form:
        found = reader._object_after(index, reach=4)
        if found:
            return found
    return reader.where.focus


def _new_statement(reader: Reader, later: Event, event: Event) -> bool:
    return reader.talk.clauses[later.clause].sentence != reader.talk.clauses[event.clause].sentence or reader.talk.at(later.end) in ("is", "'s", "are", "was", "were", "has", "have", "had", "feels", "looks", "needs", "wants", "works")


def _emit(reader: Reader, event: Event, targets: tuple[Target, ...], kind: str, status: ActionStatus, implies_worn: bool) -> None:
    for target in targets:
        raw = Raw(target, reader._evidence_start(event), event.end, event.clause, action=kind, status=status)
        raw.why = [f"action:{kind}"]
        if implies_worn and status == "wanted":
            raw.why.append("implies:worn")
        reader.raws.append(raw)
    reader.open_list = False


def add_worn(reader: Reader) -> None:
    """ "Needs replacing" makes a part worn, unless another defect of it was said."""
    for raw in list(reader.raws):
        if "implies:worn" not in raw.why or raw.dropped:
            continue
        reasons = [r for r in reader.raws if r.target == raw.target and not r.dropped and r.state in ("present", "unsure") and r.condition != "sound"]
        if not reasons:
            worn = Raw(raw.target, raw.start, raw.end, raw.clause, condition="worn", state="present")
            worn.why = ["action:replace", "implies:worn"]
            reader.raws.append(worn)
