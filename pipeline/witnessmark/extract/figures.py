"""Readings: which part and quantity a figure or marking is of, and the limit said with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.binding import targets_for
from witnessmark.extract.counts import is_figure, is_pronoun
from witnessmark.extract.measures import FAMILIES, KIND_OF, plausible, value_for
from witnessmark.extract.quantities import quantity_of, unit_for
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Measure, Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_MOVES = word_set("moves_from")


def read_measure(reader: Reader, index: int, event: Event) -> None:
    """Makes a reading of a figure, unless it counts things or says when."""
    measure = event.measure
    if measure is None or measure.role != "value":
        return
    if measure.unit is None and is_pronoun(reader, measure):
        return
    if measure.unit == "min":
        return  # how long something ran is no reading of a part
    phase_left = _left_by_work(reader, index, event)
    if (
        measure.unit
        and "-" in reader.talk.doc[measure.start : measure.end].text
        and any(
            p.head[0] == measure.end and p.component
            for p in reader.talk.between(reader.talk.parts, measure.end - 8, measure.end + 1)
        )
    ):
        return  # "a six-volt battery": its kind and not a reading
    if measure.unit is None and not phase_left and not is_figure(reader, index, event):
        return
    targets = targets_for(reader, index, event)
    if FAMILIES.get(measure.unit or "") == "volume" and _topped_up(reader, index, event):
        return
    last = next((r for r in reversed(reader.raws) if r.quantity in KIND_OF and not r.dropped), None)
    if (
        phase_left
        and last
        and reader.talk.clauses[event.clause].sentence - reader.talk.sentence_of(last.end - 1) <= 1
        and last.quantity
        and targets
        and last.target.component == targets[0].component
        and (measure.unit is None or FAMILIES.get(measure.unit) == KIND_OF[last.quantity])
    ):
        quantity: str | None = last.quantity
    else:
        quantity, targets = quantity_of(reader, event, measure, targets)
    if quantity is None or not targets:
        return
    if not reader.where.focus:
        reader.where.focus = targets
    unit, value, doubts = _value(reader, measure, quantity)
    reader.where.stated.update(targets)
    for target in targets:
        raw = Raw(
            target,
            reader.evidence_start(event),
            event.end,
            event.clause,
            quantity=quantity,
            value=value,
            unit=unit,
        )
        raw.why, raw.doubts = [f"quantity:{quantity}"], [*measure.doubts, *doubts]
        raw.phase = "left" if phase_left or (quantity == "torque" and _tightened(reader, event)) else "found"
        raw.bare = measure.unit is None
        raw.denominator = measure.number.fraction if (measure.number.fraction or 0) >= 16 else None
        if measure.high is not None:
            raw.doubts.append("range_said")
        reader.raws.append(raw)
    reader.open_list = False


def _topped_up(reader: Reader, index: int, event: Event) -> bool:
    """Whether a volume is what was put in: no reading of what was there."""
    for earlier in reversed(reader.events[max(0, index - 3) : index]):
        if earlier.kind == "action" and earlier.mention and earlier.mention.id == "top_up":
            return reader.talk.sentence_of(earlier.start) == reader.talk.sentence_of(event.start)
    return False


def _value(reader: Reader, measure: Measure, quantity: str) -> tuple[str | None, float, list[str]]:
    """Unit, value and doubts of a figure."""
    doubts = []
    unit = measure.unit
    if unit is None:
        last = next((r for r in reversed(reader.raws) if r.quantity == quantity and not r.dropped), None)
        unit = unit_for(reader, quantity, measure.value)
        if last and last.denominator and measure.number.plain:
            return "in", measure.value / last.denominator, ["unit_carried"]
        if quantity == "pressure" or unit is None:
            doubts.append("unit_assumed")
    value = value_for(measure, quantity, unit)
    if not plausible(quantity, value, unit):
        doubts.append("implausible")
    if len(measure.number.parts) > 1:
        doubts.append("digits_run_together")
    if measure.number.misheard:
        doubts.append("misheard_number")
    if unit == "thou":
        return "thou", value, doubts
    return unit, value, doubts


def _left_by_work(reader: Reader, index: int, event: Event) -> bool:
    """Whether a figure is what work brought a thing to: "set it to 30", "pumped it up to 36"."""
    measure = event.measure
    assert measure is not None
    if reader.talk.at(measure.start - 1) == "from":
        return False
    if _brought_from(reader, index, measure):
        return True
    for earlier in reversed(reader.events[max(0, index - 4) : index]):
        if earlier.kind == "action" and earlier.mention and earlier.mention.rows[0].family == "action":
            rows = earlier.mention.rows
            row = next((r for r in rows if r.data.get("form") == "past"), rows[0])
            between = reader.talk.norms[earlier.start : measure.start]
            near = measure.start - earlier.end <= 9
            done = row.data["form"] == "past" and row.id in (
                "adjust",
                "inflate",
                "tighten",
                "top_up",
                "align",
                "replace",
                "repair",
                "clean",
            )
            same = reader.talk.clauses[earlier.clause].sentence == reader.talk.clauses[event.clause].sentence
            given = reader.talk.at(earlier.start) in ("gave", "given", "made")
            direct = earlier.end == measure.start or reader.talk.at(earlier.start) == "after"
            gauged = row.id == "replace" and bool({"measure", "measures", "read", "reads"} & set(between))
            aimed = bool({"to", "at", "now"} & set(between[-5:])) or row.id == "inflate" or given or direct
            aimed = aimed or gauged
            return near and done and same and aimed
        if earlier.kind in ("measure", "code"):
            return False
    before = [reader.talk.at(i) for i in range(measure.start - 4, measure.start)]
    worked = any(
        r.action in ("adjust", "inflate", "tighten") and r.status == "done" for r in reader.raws[-3:]
    )
    return worked and "now" in before


def _tightened(reader: Reader, event: Event) -> bool:
    """Whether a torque is what a fastener was tightened to."""
    sentence = reader.talk.clauses[event.clause].sentence
    return any(
        r.action in ("tighten", "replace", "adjust")
        and r.status == "done"
        and reader.talk.clauses[r.clause].sentence == sentence
        for r in reader.raws[-4:]
    )


def _brought_from(reader: Reader, index: int, measure: Measure) -> bool:
    """ "took the chain from fifty down to a nice easy thirty-two": the second figure is what was left."""
    near = reader.events[max(0, index - 3) : index]
    first = next((e for e in reversed(near) if e.kind == "measure"), None)
    if first is None or reader.talk.at(first.start - 1) != "from":
        return False
    between = reader.talk.norms[first.end : measure.start]
    moved = reader.talk.near_before(first.start - 1, _MOVES, 7)
    return moved and len(between) <= 6 and "to" in between


def read_code(reader: Reader, index: int, event: Event) -> None:
    """Makes a reading of a marking."""
    code = event.code
    if code is None or any(m.role == "limit" for m in reader.talk.starting(reader.talk.measures, code.start)):
        return
    home = {"manufactured": "tyre", "size_marking": "tyre", "fault_code": "warning_lamp"}.get(code.quantity)
    if code.quantity == "grade_marking":
        home = (
            "brake_fluid" if code.value.startswith("DOT") else "engine_oil" if "W-" in code.value else "tyre"
        )
    targets = targets_for(reader, index, event)
    if home and not (targets and targets[0].component == home):
        if (
            code.quantity == "grade_marking"
            and targets
            and targets[0].component in ("clutch", "gearbox", "fork", "shaft_drive", "master_cylinder")
        ):
            pass
        else:
            earlier = next((t for t in reversed(reader.where.spoken[-6:]) if t.component == home), None)
            takes_end = vocabulary().components[home].takes_end
            end = reader.where.local or reader.where.heading if takes_end else None
            targets = (earlier,) if earlier and (not end or earlier.end == end) else (Target(home, end),)
    if code.quantity == "fault_code" and not any(t.component == "abs" for t in reader.where.focus):
        reader.where.focus = targets
    for target in targets:
        raw = Raw(
            target,
            reader.evidence_start(event),
            event.end,
            event.clause,
            quantity=code.quantity,
            value=code.value,
        )
        raw.why, raw.doubts = [f"quantity:{code.quantity}"], list(code.doubts)
        reader.raws.append(raw)
    reader.open_list = False
