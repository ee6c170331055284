"""Readings: which part and quantity a figure or marking is of, and the limit said with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.binding import targets_for
from witnessmark.extract.counts import is_figure, is_pronoun, taken_back
from witnessmark.extract.listing import take
from witnessmark.extract.measured import tables, torque_unit, unit_for
from witnessmark.extract.measures import FAMILIES, KIND_OF, plausible, value_for
from witnessmark.extract.pairs import places_said, share_left, share_out
from witnessmark.extract.phases import found_before, is_left, turned, work_told
from witnessmark.extract.quantities import quantity_of
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Measure, Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_SORTS = word_set("sorts")
_FUSES = word_set("fuses")
_NOMINAL_VOLTS = frozenset((6, 12, 24, 36, 48, 60, 72))
"""What batteries are sold as; with a hyphen they name the kind."""


def read_measure(reader: Reader, index: int, event: Event) -> None:
    """Makes a reading of a figure, unless it counts things or says when."""
    measure = event.measure
    if measure is None or not _is_value(reader, measure):
        return
    left = is_left(reader, index, event)
    if measure.unit is None and not left and not is_figure(reader, index, event):
        return
    targets = targets_for(reader, index, event) or _part_ahead(reader, index, event)
    if FAMILIES.get(measure.unit or "") == "volume" and _topped_up(reader, index, event):
        return
    quantity, targets = _what(reader, event, measure, targets, left)
    if quantity is None or not targets:
        return
    if not reader.where.focus or not (left or _spoken_of(reader, targets)):
        reader.where.spoken.extend(targets)
        reader.where.focus = targets  # "chain cover is open, slack is 45, adjusted it"
    shared = (share_left(reader, measure) if left else ()) or share_out(reader, index, measure, targets)
    targets = shared or targets
    turned(reader, event)
    reader.where.stated.update(targets)
    _emit(reader, event, quantity, targets, left)
    if shared and not places_said(reader.talk, event.start):
        reader.raws[-1].doubts.append("place_inferred")
    if left:
        work_told(reader, event, targets, quantity)
    reader.open_list = False


def _is_value(reader: Reader, measure: Measure) -> bool:
    """Whether a figure can be read from something: no limit, no "one", no time, and no kind of thing."""
    if measure.role != "value" or measure.unit == "min":
        return False
    if measure.unit is None and (is_pronoun(reader, measure) or taken_back(reader.talk, measure)):
        return False
    return not _is_kind(reader, measure)


def _what(
    reader: Reader, event: Event, measure: Measure, targets: tuple[Target, ...], left: bool
) -> tuple[str | None, tuple[Target, ...]]:
    """Quantity and parts of a figure; what was left is of what was found."""
    found = found_before(reader, event) if left else None
    if found and targets and _compares(reader, found, event, targets):
        same = found.target.component == targets[0].component
        return found.quantity, targets if same else (found.target,)
    quantity, fitting = quantity_of(reader, event, measure, targets)
    if quantity is None and targets and measure.unit is None and measure.number.decimal:
        quantity = _as_before(reader, measure, targets[0])
        return quantity, targets if quantity else fitting
    return quantity, fitting


def _as_before(reader: Reader, measure: Measure, target: Target) -> str | None:
    """ "Front fluid tested at 2.0 percent water. Rear fluid at 3.5": what was measured there before."""
    for raw in reversed(reader.raws[-40:]):
        if raw.target.component == target.component and raw.quantity in KIND_OF and not raw.dropped:
            value = value_for(measure, raw.quantity, raw.unit)
            return raw.quantity if plausible(raw.quantity, value, raw.unit) else None
    return None


def _emit(reader: Reader, event: Event, quantity: str, targets: tuple[Target, ...], left: bool) -> None:
    measure = event.measure
    assert measure is not None
    unit, value, doubts = _value(reader, event, measure, quantity, targets[0].component)
    start = reader.evidence_start(event)
    for target in targets:
        raw = Raw(target, start, event.end, event.clause, quantity=quantity, value=value, unit=unit)
        raw.why, raw.doubts = [f"quantity:{quantity}"], [*measure.doubts, *doubts]
        raw.phase = "left" if left or (quantity == "torque" and _tightened(reader, event)) else "found"
        raw.bare = measure.unit is None
        raw.denominator = measure.number.fraction if (measure.number.fraction or 0) >= 16 else None
        if measure.high is not None:
            raw.doubts.append("range_said")
        reader.raws.append(raw)


def _compares(reader: Reader, found: Raw, event: Event, targets: tuple[Target, ...]) -> bool:
    """Whether what was left is of the part that was measured: the one spoken of, or none named since."""
    if found.target.component == targets[0].component:
        return True
    return not any(p.component for p in reader.talk.between(reader.talk.parts, found.end, event.start))


def _part_ahead(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "With 2.9 bar the rear tyre is correct": the first part named after a figure in its clause."""
    for at in range(index + 1, min(index + 4, len(reader.events))):
        later = reader.events[at]
        if later.clause != event.clause or later.kind == "measure":
            return ()
        if later.kind == "part" and later.part and later.part.component and later.part.word != "zone":
            return take(reader, at)
    return ()


def _is_kind(reader: Reader, measure: Measure) -> bool:
    """ "a six-volt battery", "a 21-inch tyre": what sort of thing it is, and no reading of it."""
    talk = reader.talk
    at = measure.number.end
    hyphened = measure.end > at and (talk.at(at) == "-" or talk.doc[at - 1].text.endswith("-"))
    named = any(p.component and p.head[0] == measure.end for p in talk.starting(talk.parts, measure.end))
    nominal = measure.unit == "V" and measure.value in _NOMINAL_VOLTS
    if talk.at(measure.end) in _SORTS and measure.unit:
        return True
    if measure.unit == "A" and _FUSES & set(talk.norms[max(0, measure.start - 10) : measure.end + 4]):
        return True  # "the twenty-amp fuse"
    return (hyphened and (named or nominal)) or (nominal and named)


def _spoken_of(reader: Reader, targets: tuple[Target, ...]) -> bool:
    """Whether a reading is of the part spoken of, or of another at its home."""
    measurable = any(lexicon().usual.get(t.component) for t in reader.where.focus)
    return measurable or bool({t.component for t in targets} & {t.component for t in reader.where.focus})


def _topped_up(reader: Reader, index: int, event: Event) -> bool:
    """Whether a volume is what was put in: no reading of what was there."""
    for earlier in reversed(reader.events[max(0, index - 3) : index]):
        if earlier.kind == "action" and earlier.mention and earlier.mention.id == "top_up":
            return reader.talk.sentence_of(earlier.start) == reader.talk.sentence_of(event.start)
    return False


def _value(
    reader: Reader, event: Event, measure: Measure, quantity: str, component: str
) -> tuple[str | None, float, list[str]]:
    """Unit, value and doubts of a figure."""
    doubts = []
    small = tables()["inches_below"].get(component) if quantity == "thickness" else None
    unit = measure.unit
    if unit is None:
        last = next((r for r in reversed(reader.raws) if r.quantity == quantity and not r.dropped), None)
        unit = unit_for(reader, quantity, measure.value)
        if quantity == "torque":
            unit = torque_unit(reader, event) or unit
        if small and measure.value < small:
            return "in", measure.value, ["unit_assumed"]
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


def _tightened(reader: Reader, event: Event) -> bool:
    """Whether a torque is what a fastener was tightened to."""
    sentence = reader.talk.clauses[event.clause].sentence
    return any(
        r.action in ("tighten", "replace", "adjust")
        and r.status == "done"
        and reader.talk.clauses[r.clause].sentence == sentence
        for r in reader.raws[-4:]
    )


def _end_said(reader: Reader, event: Event) -> End | None:
    """ "Size at the front, 100/80-16", "the rear's newer, 1820": the end named last before."""
    talk = reader.talk
    parts = [p for p in talk.between(talk.parts, event.start - 12, event.start) if p.component or p.ends]
    if not parts or parts[-1].component or len(parts[-1].ends) != 1:
        return None
    figures = (talk.codes, talk.measures)
    said = any(talk.between(items, parts[-1].end, event.start) for items in figures)
    here = talk.sentence_of(parts[-1].start) == talk.sentence_of(event.start)
    here = here or talk.norms[parts[-1].end : event.start] == ["."]  # "Then the front. 120/70ZR17"
    return parts[-1].ends[0] if here and not said else None


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
    if home == "tyre" and (end := _end_said(reader, event)):
        reader.where.focus = targets = (Target("tyre", end),)
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
