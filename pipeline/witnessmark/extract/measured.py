"""What is measured on a part: the tables of it, and the unit that a bare figure is in."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from witnessmark.extract.measures import FAMILIES, value_for
from witnessmark.extract.talk import Measure, Target
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.lexicon import lexicon

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_RECENT = 8
"""Parts spoken of last among which the one that is measured is looked for."""


@cache
def tables() -> dict[str, Any]:
    """Tables of ``models/trade/quantities.yaml`` of what is measured on a part."""
    return dict(read_yaml("trade/quantities.yaml")["of_parts"])


def held_in(reader: Reader, measure: Measure, targets: tuple[Target, ...]) -> tuple[Target, ...]:
    """ "Pads, left caliper three mil": what is measured is of the pads in it."""
    family = FAMILIES.get(measure.unit or "mm")
    spoken = {t.component for t in reader.where.spoken[-_RECENT:]}
    held = [tables()["holds"].get(t.component, {}).get(family) for t in targets]
    if not any(h in spoken for h in held):
        return targets
    return tuple(Target(h, t.end, t.side) for h, t in zip(held, targets, strict=True) if h)


def small_figure(
    reader: Reader, measure: Measure, quantity: str | None, targets: tuple[Target, ...]
) -> str | None:
    """ "Left one's nought point three" of a disc: no thickness where people measure in millimetres."""
    part = targets[0].component if targets else ""
    small = tables()["small"].get(part)
    if small is None or quantity != "thickness" or measure.unit or reader.talk.jurisdiction == "US":
        return quantity
    return small if value_for(measure, quantity, None) < tables()["inches_below"][part] else quantity


def unit_for(reader: Reader, quantity: str, value: float) -> str | None:
    """The unit of a bare figure: that of the last such reading, else the usual one."""
    for raw in reversed(reader.raws):
        if raw.quantity == quantity and raw.unit:
            return raw.unit
    if quantity == "pressure":
        return "bar" if value < 8 else "psi" if value < 80 else "kPa"
    return lexicon().unit.get(quantity)


def torque_unit(reader: Reader, event: Event) -> str | None:
    """ "Nut was sixty, spec is seventy foot pounds": the unit of torque in the sentence of a bare figure."""
    talk, sentence = reader.talk, reader.talk.sentence_of(event.start)
    near = talk.between(talk.measures, event.start - 20, event.start + 20)
    units = [m.unit for m in near if talk.sentence_of(m.start) == sentence]
    return next((u for u in units if FAMILIES.get(u or "") == "torque"), None)
