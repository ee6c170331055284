"""Reads one machine card and finds all that is wrong with it: keys, units, spans, contradictions."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from witnessmark.knowledge.card_rules import CardRules, card_rules
from witnessmark.knowledge.cards import CardFigure, Interval, MachineCard, Marking
from witnessmark.knowledge.coverage import Fitted, coverage
from witnessmark.knowledge.figures import MachineFacts
from witnessmark.knowledge.rows import fault_of
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End
from witnessmark.units import UNITS, convert, text_of

Row = TypeVar("Row", bound=BaseModel)
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
Rowed = CardFigure | Marking | Interval
SECTIONS: dict[str, type[CardFigure] | type[Marking] | type[Interval]] = {
    "figures": CardFigure,
    "markings": Marking,
    "intervals": Interval,
}


def read(path: Path) -> tuple[MachineCard | None, tuple[str, ...]]:
    """The card, where its keys can be read at all, and everything wrong with it."""
    try:
        text = path.read_text(encoding="utf-8")
        raw = yaml.load(text, Loader=LOADER)
        twice = tuple(_twice(yaml.compose(text, Loader=LOADER)))
    except OSError as error:
        return None, (f"cannot be read ({error.strerror})",)
    except UnicodeDecodeError:
        return None, ("is not text in UTF-8",)
    except yaml.YAMLError as error:
        return None, (_not_yaml(error),)
    if not isinstance(raw, dict):
        return None, ("is not a mapping of keys",)
    card, faults = _parsed(raw)
    faults = (*twice, *faults)
    return card, faults if card is None or faults else tuple(contradictions(card))


def _not_yaml(error: yaml.YAMLError) -> str:
    mark, problem = getattr(error, "problem_mark", None), getattr(error, "problem", None)
    where = f"line {mark.line + 1}: " if mark else ""
    return f"{where}is not YAML ({problem or error}); look for a colon, comma, bracket or quote that is off"


def _twice(node: yaml.Node | None) -> Iterator[str]:
    """Keys that stand twice in one mapping, of which YAML would silently keep the last."""
    if isinstance(node, yaml.MappingNode):
        seen: set[str] = set()
        for key, value in node.value:
            if key.value in seen:
                yield f"line {key.start_mark.line + 1}: the key {key.value} stands twice"
            seen.add(key.value)
            yield from _twice(value)
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from _twice(value)


def _parsed(raw: dict[str, Any]) -> tuple[MachineCard | None, tuple[str, ...]]:
    """The card with its rows, each with its source; or what is wrong with keys and values."""
    faults: list[str] = []
    rows: dict[str, Any] = {}
    for section, model in SECTIONS.items():
        rows[section] = _rows(model, raw, section, faults)
    name = str(raw.get("id", "1"))
    card = _row(MachineCard, {**raw, **rows}, f"row {name}", faults)
    return card, tuple(faults)


def _rows(model: type[Row], raw: dict[str, Any], section: str, faults: list[str]) -> tuple[Row, ...]:
    listed = raw.get(section)
    if not isinstance(listed, list | None):
        faults.append(f"{section} is not a list of rows")
        return ()
    inherited = {key: raw[key] for key in ("source", "sureness") if isinstance(raw.get(key), str)}
    found = []
    for number, row in enumerate(listed or (), start=1):
        if not isinstance(row, dict):
            faults.append(f"{section} {number}: is not a row")
            continue
        name = f"row {row.get('id', f'{number} of {section}')}"
        own = {} if "source" in row else inherited
        found.append(_row(model, own | row, name, faults))
    return tuple(row for row in found if row is not None)


def _row(model: type[Row], raw: dict[str, Any], name: str, faults: list[str]) -> Row | None:
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        faults += [f"{name}: {fault_of(model, one)}" for one in error.errors()]
        return None


# ── contradictions ───────────────────────────────────────────────────────────────────────────


def contradictions(card: MachineCard) -> Iterator[str]:
    """What cannot be so: ids twice, impossible units and figures, parts the machine has not."""
    rules = card_rules()
    rows: tuple[Rowed, ...] = (*card.figures, *card.markings, *card.intervals)
    yield from _same_ids(rows)
    yield from _machine(card, rules)
    for row in rows:
        if fault := misplaced(card, row.component, getattr(row, "end", None)):
            yield f"row {row.id}: {fault}"
    for figure in card.figures:
        yield from (f"row {figure.id}: {fault}" for fault in _figure(figure, rules))
    for marking in card.markings:
        yield from (f"row {marking.id}: {fault}" for fault in _marking(card, marking, rules))
    for interval in card.intervals:
        yield from (f"row {interval.id}: {fault}" for fault in _interval(interval))
    yield from _against_each_other(card)


def _same_ids(rows: tuple[Rowed, ...]) -> Iterator[str]:
    seen: set[str] = set()
    for row in rows:
        if row.id in seen:
            yield f"row {row.id}: the id is used twice"
        seen.add(row.id)


def _machine(card: MachineCard, rules: CardRules) -> Iterator[str]:
    capacity = card.capacity_cc
    for size in rules.sizes:
        if card.machine_class == size.machine_class and capacity is not None and capacity > size.up_to_cc:
            yield (
                f"capacity_cc: {capacity:g} is more than a {card.machine_class} may have "
                f"({size.up_to_cc:g}, {size.source})"
            )
    if capacity is not None and not 10 <= capacity <= 5000:
        yield f"capacity_cc: {capacity:g} is no engine's; give it in cubic centimetres"
    if card.engine == "electric" and capacity is not None:
        yield "capacity_cc: an electric machine has none; take the key out"
    for key in ("name", "source", "fluid"):
        if getattr(card, key) is not None and not getattr(card, key).strip(" ?"):
            yield f"{key}: is not filled in"
    if card.kind == "class" and card.registrations:
        yield "registrations: the card of a class is of no one machine"
    for key in MachineFacts.model_fields if card.kind == "class" else ():
        if getattr(card, key) is not None:
            yield f"{key}: the card of a class decides no limit; write it under usual"
    if card.kind == "model" and card.usual != MachineFacts():
        yield "usual: only the card of a class has it"
    if card.rear_teeth is not None and card.final_drive != "chain":
        yield f"rear_teeth: the final drive is a {card.final_drive}"


def misplaced(card: MachineCard, component: str, end: End | None) -> str:
    """Why the machine has no such part there; empty when it has, or when the card does not say."""
    choices = {way.id: way.choice for way in coverage().alternatives}
    unsaid = {way for way, choice in choices.items() if choice not in card.built}
    here = places(component, {*card.built.values(), *unsaid})
    name = vocabulary().components[component].name
    if here == ():
        return f"the machine has no {name}, by how the card says it is built"
    if end and here == (None,):
        return f"end: {name} has no front or rear; take the key out"
    if end and end not in here:
        return f"the machine has no {end} {name}, by how the card says it is built"
    return ""


def places(component: str, built: set[str]) -> tuple[End | None, ...]:
    """Ends at which a machine built so has a component."""
    rows: dict[str, Fitted] = {row.id: row for row in (*coverage().expected, *coverage().fitted)}
    return coverage().ends_of(rows.get(component, Fitted(id=component)), built)


def _figure(figure: CardFigure, rules: CardRules) -> Iterator[str]:
    canonical, name = vocabulary().quantities[figure.quantity]
    if figure.kind == "none":
        yield "kind: a card's figure needs a value"
    elif canonical is None:
        yield f"quantity: {name} is a text; write it as a marking"
    elif figure.low is not None and figure.high is not None and figure.low >= figure.high:
        yield f"low: {figure.low:g} is not below high, {figure.high:g}"
    elif figure.laden and figure.quantity != "pressure":
        yield "laden: only a pressure differs with the load"
    else:
        bounds = [b for b in (figure.low, figure.high, figure.target) if b is not None]
        yield from filter(None, (_impossible(figure, bound, canonical, rules) for bound in bounds))


def _impossible(figure: CardFigure, bound: float, canonical: str, rules: CardRules) -> str:
    """Why a bound cannot be right as it stands, and the unit in which it could."""
    unit, name = figure.unit or "", vocabulary().quantities[figure.quantity][1]
    try:
        convert(bound, unit, canonical)
    except ValueError:
        return f"unit: {unit} does not measure {name}; use {canonical} or another unit of the same kind"
    span = rules.span_of(figure.component, figure.quantity)
    if span is None or _within(bound, unit, span.low, span.high, span.unit):
        return ""
    other = [u for u in UNITS if u != unit and _within(bound, u, span.low, span.high, span.unit)]
    hint = f"; was it {text_of(bound, other[0])}?" if other else ""
    fits = f"{span.low:g} to {text_of(span.high, span.unit)}"
    return f"{text_of(bound, unit)} cannot be a {name} of this part ({fits}){hint}"


def _within(bound: float, unit: str, low: float, high: float, wanted: str) -> bool:
    try:
        return low <= convert(bound, unit, wanted) <= high
    except ValueError:
        return False


def _marking(card: MachineCard, marking: Marking, rules: CardRules) -> Iterator[str]:
    if vocabulary().quantities[marking.quantity][0] is not None:
        yield f"quantity: {marking.quantity} is a figure; write it under figures"
    form = rules.form_of(marking.component, marking.quantity)
    if not marking.text.strip(" ?"):
        yield "text: is not filled in"
    elif form and not form.fits(marking.text):
        yield f"text: {marking.text!r} cannot be read; write it like {form.like}"
    fluid = (marking.component, marking.quantity) == ("brake_fluid", "grade_marking")
    if fluid and card.fluid and plain_grade(marking.text) != plain_grade(card.fluid):
        yield f"text: {marking.text} is not the {card.fluid} that the key fluid says"


def plain_grade(text: str) -> str:
    """A grade without spaces, in capitals."""
    return "".join(text.upper().split())


def _interval(row: Interval) -> Iterator[str]:
    if row.every is None and row.months is None:
        yield "give a distance (every and unit), months, or both"
    if (row.every is None) != (row.unit is None):
        yield "every and unit go together"
    if row.every is not None and not 100 <= row.every <= 100_000:
        yield f"every: {row.every:g} {row.unit or ''} is no interval; write the whole distance"
    if row.months is not None and not 0 < row.months <= 120:
        yield f"months: {row.months:g} is no interval"


def _against_each_other(card: MachineCard) -> Iterator[str]:
    """Two rows for the same thing, and pressures that are lower under load."""
    seen: dict[tuple[object, ...], str] = {}
    rows: tuple[CardFigure | Marking, ...] = (*card.figures, *card.markings)
    for row in rows:
        for end in (row.end,) if row.end else ("front", "rear"):
            same = (row.component, end, row.quantity, getattr(row, "laden", False), getattr(row, "kind", ""))
            if other := seen.get(same):
                yield f"row {row.id}: says the same thing as row {other}; keep one"
                break
            seen[same] = row.id
    by_end = {(f.end, f.laden): f for f in card.figures if f.quantity == "pressure" and f.target is not None}
    for (place, laden), solo in by_end.items():
        full = by_end.get((place, True))
        if not laden and full and _less(full, solo):
            yield f"row {full.id}: is less than the pressure for one rider, row {solo.id}"


def _less(one: CardFigure, other: CardFigure) -> bool:
    try:
        return convert(one.target or 0, one.unit or "", other.unit or "") < (other.target or 0) - 1e-9
    except ValueError:
        return False
