"""Which quantity a figure is of, in which unit, and of which part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.lookup import Mention
from witnessmark.extract.measured import held_in, small_figure, tables, torque_unit, unit_for
from witnessmark.extract.measures import FAMILIES, KIND_OF, plausible, value_for
from witnessmark.extract.talk import Measure, Talk, Target
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_RECENT = 8
"""Parts spoken of last among which the one that is measured is looked for."""
_ALONE = {"pressure": "pressure", "volt": "voltage"}
"""Kinds of unit that tell the quantity and the part where nothing spoken of can be measured in them."""
_NEEDS_UNIT = frozenset(("temperature", "volume", "time", "torque", "distance", "current", "percent"))


def quantity_of(
    reader: Reader, event: Event, measure: Measure, targets: tuple[Target, ...]
) -> tuple[str | None, tuple[Target, ...]]:
    """The quantity of a figure, and the part it is of when the one spoken of cannot have it."""
    targets = held_in(reader, measure, targets)
    quantity, found = _quantity_of(reader, event, measure, targets)
    quantity = small_figure(reader, measure, quantity, found)
    by_end = tables()["by_end"].get(quantity, {})
    if end := _end_beside(reader, event) if by_end else None:
        return quantity, (Target(by_end[end]),)
    if quantity == "voltage" and found[:1] == (Target("battery"),) and _is_running(reader, event):
        return quantity, (Target("charging"),)
    return quantity, found


def _quantity_of(
    reader: Reader, event: Event, measure: Measure, targets: tuple[Target, ...]
) -> tuple[str | None, tuple[Target, ...]]:
    family = FAMILIES.get(measure.unit or "")
    named = _named_quantity(reader, event, family, measure)
    usual = lexicon().usual
    if named:
        placed = _in_part(reader, event, named, targets)
        return named, placed or _named_targets(reader, event, named, targets)
    if not targets:
        return _alone(reader, measure, family)
    repeated = _repeated(reader, targets[0], family, measure, event.clause)
    if repeated:
        return repeated, targets
    if family is None and "torque" in usual.get(targets[0].component, {}) and torque_unit(reader, event):
        return "torque", targets
    if family is None and targets[0].component in tables()["needs_word"]:
        return None, ()
    for quantity_family, quantity in usual.get(targets[0].component, {}).items():
        unit = measure.unit or unit_for(reader, quantity, measure.value)
        if family is None and quantity_family in _NEEDS_UNIT:
            continue
        if (family is None or family == quantity_family) and plausible(
            quantity, value_for(measure, quantity, unit), unit
        ):
            return quantity, targets
    matching = usual.get(targets[0].component, {}).get(family or "")
    if family == "torque":
        return "torque", targets
    if matching and (other := tables()["beyond"].get(targets[0].component, {}).get(family or "")):
        return other, targets  # "the chain is 322 mm"
    if matching:
        return matching, targets
    last = next((r for r in reversed(reader.raws[-3:]) if r.quantity in KIND_OF and not r.dropped), None)
    bears = tables()["carried"].get(targets[0].component, {})
    if last and bears.get(last.quantity) == last.target.component and last.quantity:
        return last.quantity, (last.target,)  # "inlet point one, exhaust point one five"
    return _earlier_part(reader, family, measure)


def _end_beside(reader: Reader, event: Event) -> End | None:
    """ "Sag's 35 front, 30 rear": the end that is named beside a figure."""
    places: dict[str, End] = {"front": "front", "rear": "rear", "back": "rear"}
    after = places.get(reader.talk.at(event.end))
    return after or places.get(reader.talk.at(event.start - 1))


def _is_running(reader: Reader, event: Event) -> bool:
    """ "Engine running, I'm seeing 13.2 volts": the voltage is that of the charging."""
    clauses, norms = reader.talk.clauses, reader.talk.norms
    here, before = clauses[event.clause], clauses[max(0, event.clause - 1)]
    said = set(norms[here.start : here.end])
    if before.sentence == here.sentence and not reader.talk.between(
        reader.talk.measures, before.start, before.end
    ):
        said |= set(norms[before.start : before.end])
    return bool(said & set(tables()["running"])) and not said & set(tables()["not_running"])


def _named_targets(
    reader: Reader, event: Event, named: str, targets: tuple[Target, ...]
) -> tuple[Target, ...]:
    """What a named quantity is of: the subject, or the part nearest before that can have it."""
    usual = lexicon().usual
    if targets and named in usual.get(targets[0].component, {}).values():
        return targets
    if targets and (bears := tables()["carried"].get(targets[0].component, {}).get(named)):
        return tuple(Target(bears, t.end, t.side) for t in targets)
    holds = bool(targets) and targets[0].component in ("wheel", "brakes")
    explicit = _explicit(reader, event)
    if explicit and not holds and (spoken := _spoken_here(reader, event, named)):
        return spoken
    if named not in vocabulary().home or (explicit and not holds):
        return targets
    if holds and explicit:
        return _home(reader, named, targets[0].end)
    earlier = reversed(reader.where.spoken[-_RECENT:])
    fits = next((t for t in earlier if named in usual.get(t.component, {}).values()), None)
    return (fits,) if fits else _home(reader, named)


def _in_part(reader: Reader, event: Event, named: str, targets: tuple[Target, ...]) -> tuple[Target, ...]:
    """ "Pressure in the back tyre I am getting 26": the part that the quantity's word leads to."""
    talk = reader.talk
    words = [m for m in talk.between(talk.of("quantity"), event.start - 12, event.start) if m.id == named]
    at = words[-1].end if words else -1
    parts = talk.between(talk.parts, at, at + 2) if talk.at(at) in ("in", "of", "on", "at") else ()
    part = next((p for p in parts if p.component and p.ends and p.end <= event.start), None)
    if part is None or named not in lexicon().usual.get(part.component or "", {}).values():
        return ()
    if any(t.end for t in targets) or _figures_between(reader, at, event.start):
        return ()
    return reader.where.targets(part, same_sentence=True)


def _figures_between(reader: Reader, start: int, end: int) -> bool:
    return any(m.role == "value" for m in reader.talk.between(reader.talk.measures, start, end))


def _spoken_here(reader: Reader, event: Event, named: str) -> tuple[Target, ...]:
    """ "the throttle snaps shut, and the play on the grip is 3 mil": a part named before in the sentence."""
    sentence = reader.talk.clauses[event.clause].sentence
    near = reader.talk.between(reader.talk.parts, event.start - 40, event.start)
    here = {p.component for p in near if reader.talk.sentence_of(p.start) == sentence}
    earlier = (t for t in reversed(reader.where.spoken[-_RECENT:]) if t.component in here)
    fits = next((t for t in earlier if named in lexicon().usual.get(t.component, {}).values()), None)
    return (fits,) if fits else ()


def _home(reader: Reader, quantity: str, end: End | None = None) -> tuple[Target, ...]:
    """The part that a quantity is usually of, at the end spoken of."""
    home = vocabulary().home[quantity]
    takes_end = vocabulary().components[home].takes_end
    return (Target(home, end or reader.where.local or reader.where.heading if takes_end else None),)


def _explicit(reader: Reader, event: Event) -> bool:
    return (
        reader.subject_clause == event.clause
        and reader.talk.clauses[event.clause].start <= reader.subject_at < event.start
    )


def _earlier_part(
    reader: Reader, family: str | None, measure: Measure
) -> tuple[str | None, tuple[Target, ...]]:
    """The nearest part spoken of that such a unit can measure."""
    if family is None:
        return None, ()
    for target in reversed(reader.where.spoken[-6:]):
        quantity = lexicon().usual.get(target.component, {}).get(family)
        if quantity and plausible(quantity, value_for(measure, quantity, measure.unit), measure.unit):
            return quantity, (target,)
    return _alone(reader, measure, family)


def _alone(reader: Reader, measure: Measure, family: str | None) -> tuple[str | None, tuple[Target, ...]]:
    """ "Twenty-nine psi in it": the unit tells what is measured."""
    quantity = _ALONE.get(family or "")
    if quantity is None or not plausible(quantity, measure.value, measure.unit):
        return None, ()
    return quantity, _home(reader, quantity)


def _named_quantity(reader: Reader, event: Event, family: str | None, measure: Measure) -> str | None:
    """The quantity whose word stands nearest: before the figure in its sentence, or right after it."""
    talk = reader.talk
    sentence = talk.clauses[event.clause].sentence
    near = talk.between(talk.of("quantity"), event.start - 60, event.end + 6)
    fits = [m for m in near if m.id in KIND_OF and _can_be(m.id, family, measure, reader)]
    fits = [m for m in fits if not _of_limit(talk, m) and (family or talk.at(m.start) != "wear")]
    after = [
        m
        for m in fits
        if 0 <= m.start - event.end <= 2
        and all(talk.at(i) in ("of", "the", "in", "on") for i in range(event.end, m.start))
        and talk.at(m.end) not in ("is", "was", "'s", "are", ":")
        and not (talk.at(m.end) == "at" and talk.number_at(m.end + 1))
        and not talk.starting(talk.measures, m.end)
    ]
    before = [m for m in fits if m.end <= event.start and reader.talk.sentence_of(m.start) == sentence]
    last_figure = max(
        (
            m.end
            for m in talk.between(talk.measures, event.start - 60, event.start)
            if m.end <= event.start
            and m.role == "value"
            and reader.talk.sentence_of(m.start) == sentence
            and not any(w.start <= m.start < w.end for w in before)  # "over twenty links"
        ),
        default=-1,
    )
    close = [m for m in before if m.start >= last_figure and not _of_another_part(talk, m, event.start)]
    if after and not (after[0].id == "remaining" and family != "percent"):
        return after[0].id
    if close:
        return close[-1].id
    return before[-1].id if before and not _new_part_since(reader, before[-1].end, event.start) else None


def _of_limit(talk: Talk, word: Mention) -> bool:
    """ "wear limit": no wear that is measured."""
    return any(c.end > word.start for c in talk.between(talk.of("limit"), word.start - 4, word.start + 1))


def _of_another_part(talk: Talk, word: Mention, figure: int) -> bool:
    """ "an inch of slack and the pads have two mil": the slack is not that of the pads."""
    parts = [p.component for p in talk.between(talk.parts, word.end, figure) if p.component]
    usual = lexicon().usual.get(parts[-1], {}) if parts else {}
    last = parts[-1] if parts else ""
    known = {*usual.values(), *tables()["beyond"].get(last, {}).values(), *tables()["also"].get(last, ())}
    return KIND_OF[word.id] in usual and word.id not in known


def _new_part_since(reader: Reader, start: int, end: int) -> bool:
    return any(p.component for p in reader.talk.between(reader.talk.parts, start, end))


def _can_be(quantity: str, family: str | None, measure: Measure, reader: Reader) -> bool:
    if family is not None:
        return KIND_OF[quantity] == family
    if quantity == "remaining":
        return False
    unit = unit_for(reader, quantity, measure.value)
    return plausible(quantity, value_for(measure, quantity, unit), unit)


def _repeated(
    reader: Reader, target: Target, family: str | None, measure: Measure, clause: int
) -> str | None:
    """The quantity of the last reading of that kind of part, when it can be this one too."""
    elliptic = any(
        p.component is None and p.end <= measure.start <= p.end + 3
        for p in reader.talk.between(reader.talk.parts, measure.start - 10, measure.start)
    )
    now = reader.talk.clauses[clause].sentence
    for raw in reversed(reader.raws[-12:]):
        if reader.talk.clauses[raw.clause].sentence < now - (1 if elliptic else 0):
            return None
        if raw.quantity in KIND_OF and raw.target.component == target.component and not raw.dropped:
            unit = measure.unit or raw.unit
            same = family is None or KIND_OF[raw.quantity] == family
            value = value_for(measure, raw.quantity, unit)
            if raw.denominator and measure.unit is None and measure.number.plain:
                value = measure.value / raw.denominator  # "5/32 on the front, 3 on the rear"
            return raw.quantity if same and plausible(raw.quantity, value, unit) else None
    return None
