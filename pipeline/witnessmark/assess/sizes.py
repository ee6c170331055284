"""Reads tyre markings: size, structure, load index and speed symbol.

Grammar after the definitions of UN regulation 75 and the ISO 4249 and 5751 series (from memory).
"""

from __future__ import annotations

import re
from typing import NamedTuple

from witnessmark.knowledge.tyres import tyres

_TAIL = r"(?P<rim>\d{2})(?:M/?C)?(?P<open>\()?(?P<load>\d{2,3})?(?P<speed>[A-Z])?\)?"
_METRIC = re.compile(
    rf"(?P<width>\d{{2,3}})/(?P<aspect>\d{{2,3}})(?P<class>[VZ])?(?P<structure>[RBD-])?(?P<late>[VHSZ])?{_TAIL}"
)
_ALPHA = re.compile(rf"M(?P<letter>[A-Z])(?P<aspect>\d{{2}})(?P<structure>[RB-])?{_TAIL}")
_INCH = re.compile(rf"(?P<width>\d\.\d{{2}})(?P<class>[HVS])?(?P<structure>[RB-]){_TAIL}")
_SERVICE = re.compile(r"(?P<open>\()?(?P<load>\d{2,3})(?P<speed>[A-Z])\)?")


class Marking(NamedTuple):
    """What a tyre is marked with; None is not marked or not said."""

    form: str
    """``metric``, ``alpha``, ``inch``, or ``service`` for load and speed alone."""
    width: str | None = None
    """mm, the letter, or inches."""
    aspect: str | None = None
    structure: str | None = None
    """``R``, ``B`` or ``-``."""
    rim: str | None = None
    load: int | None = None
    speed: str | None = None
    speed_class: str | None = None
    """A letter inside the size, such as Z."""
    bracketed: bool = False
    """(58W): load and speed hold up to the symbol's speed, and the tyre goes beyond it."""

    @property
    def size(self) -> tuple[str, str | None, str | None, str | None]:
        """Form, width, aspect and rim: what must agree."""
        return self.form, self.width, self.aspect, self.rim

    @property
    def kg(self) -> float | None:
        """What it carries, or None where the index is not marked or not in the table."""
        return tyres().load_index.kg.get(self.load) if self.load is not None else None

    @property
    def km_h(self) -> int | None:
        """The speed it is good for at least; the symbol's own figure where there is one."""
        speed = tyres().speed
        symbol = self.speed or self.speed_class
        return speed.km_h.get(symbol or "", speed.above.get(symbol or ""))


def parse(text: str) -> Marking | None:
    """The marking in a text such as ``120/70 ZR 17 M/C (58W)``, ``MT90B16``, ``4.10H-18`` or ``58W``."""
    plain = re.sub(r"\s", "", text.upper())
    for form, pattern in (("metric", _METRIC), ("alpha", _ALPHA), ("inch", _INCH), ("service", _SERVICE)):
        found = pattern.fullmatch(plain) if form == "service" else pattern.match(plain)
        if found:
            return _marking(form, found.groupdict())
    return None


def _marking(form: str, parts: dict[str, str | None]) -> Marking:
    structure, load = parts.get("structure"), parts.get("load")
    width = parts.get("letter") or parts.get("width")
    return Marking(
        form,
        width,
        parts.get("aspect"),
        "-" if structure == "D" else structure,
        parts.get("rim"),
        int(load) if load else None,
        parts.get("speed"),
        parts.get("class") or parts.get("late"),
        bool(parts.get("open")),
    )


def implausible(mark: Marking) -> str:
    """What of it no tyre has; empty when all of it may be."""
    usual = tyres().plausible
    spans = {"metric": usual.width_mm, "inch": usual.width_in}
    checks = (
        ("width", mark.width if mark.form in spans else None, spans.get(mark.form, (0, 0))),
        ("aspect", mark.aspect, usual.aspect),
        ("rim", mark.rim, usual.rim_in),
    )
    wrong = [
        f"{name} {value}" for name, value, span in checks if value and not span[0] <= float(value) <= span[1]
    ]
    if mark.load is not None and mark.kg is None:
        wrong.append(f"load index {mark.load}")
    if mark.speed and mark.speed not in tyres().speed.km_h and mark.speed not in tyres().speed.above:
        wrong.append(f"speed symbol {mark.speed}")
    return " and ".join(wrong)


def explained(mark: Marking) -> str:
    """``radial, for a 17 in rim; load index 58 is 236 kg (520 lb), W is 270 km/h``."""
    parts = [tyres().structure.get(mark.structure or "", ""), f"for a {mark.rim} in rim" if mark.rim else ""]
    if mark.form == "alpha" and mark.width in tyres().alpha.metric:
        parts.append(f"nearest to {tyres().alpha.metric[mark.width]}, to compare and not to replace by")
    if mark.kg is not None:
        parts.append(f"load index {mark.load} is {mark.kg:g} kg ({mark.kg * 2.2046226:.0f} lb)")
    if mark.km_h is not None:
        parts.append(f"{mark.speed or mark.speed_class} is {_speed_words(mark)}")
    return ", ".join(filter(None, parts))


def _speed_words(mark: Marking) -> str:
    symbol = mark.speed or mark.speed_class or ""
    beyond = mark.bracketed or symbol in tyres().speed.above
    memory = " (from memory)" if symbol in tyres().speed.from_memory else ""
    return f"{'over ' if beyond else ''}{mark.km_h} km/h{memory}"


def differences(said: Marking, card: Marking) -> list[str] | None:
    """How a tyre is another than the card's; empty when it may stand for it, None when that is not known.

    A higher load index or speed symbol may stand for a lower one.
    """
    found: list[str] = []
    if said.form != "service":
        if said.form != card.form:
            return None
        if said.size != card.size:
            found.append("another size")
        elif said.structure and card.structure and said.structure != card.structure:
            names = tyres().structure
            found.append(f"{names[said.structure]} and not {names[card.structure]}")
    if said.kg is not None and card.kg is not None and said.kg < card.kg:
        found.append(f"carries {said.kg:g} kg and not {card.kg:g} kg")
    if said.km_h is not None and card.km_h is not None and said.km_h < card.km_h:
        found.append(f"good for {_speed_words(said)} and not {_speed_words(card)}")
    unknown = said.form != "service" and (said.structure is None or card.structure is None)
    return None if unknown and not found else found
