"""Spoken numbers and measures against NeMo's cases for inverse text normalisation (Apache-2.0).

Value: the first number read, within 1e-9. Unit: compared by Pint. Set aside is only how the suite writes:
unit symbols in lower case (mw, pb), m² and ℓ, spacing, "zero" left in words.
"""

from __future__ import annotations

import re

from witnessmark.extract.cardinals import SCALES

from .corpora import Figures, rows, show, talk_of
from .spoken_units import SYMBOLS, same_amount, unit_after

CLASSES = ("measure", "decimal", "cardinal")
WRITTEN = {
    "pb": ("petabyte",), "kb": ("kilobyte", "kilobit"), "gb": ("gigabyte",), "mW": ("megawatt",),
    "gWh": ("gigawatt_hour",), "mhz": ("megahertz",), "khz": ("kilohertz",), "mv": ("millivolt",),
    "ms": ("megasiemens",), "sq ft": ("foot**2",), "sq mi": ("mile**2",), "/km²": ("1/kilometer**2",),
    "/m²": ("1/meter**2",), "km/h": ("kilometer/hour",), "kgf/cm²": ("force_kilogram/centimeter**2",),
    "nm": ("nanometer",), "gbps": ("gigabit/second",),
}  # fmt: skip
"""How the suite writes a unit → Pint's name for it."""
PRODUCT = {
    "mm": "millimeter", "km": "kilometer", "mi": "mile", "V": "volt", "%": "percent", "mL": "milliliter",
    "L": "liter", "kgf/cm2": "force_kilogram/centimeter**2", "in": "inch",
}  # fmt: skip
"""Units that the product itself reads."""


def _written(text: str) -> tuple[float, tuple[str, ...]]:
    """Value and unit of the written side."""
    if text.lower() in ("zero", "twelve"):
        return (0.0 if text.lower() == "zero" else 12.0), ()
    match = re.match(r"(-?[\d.]+)\s*(.*)", text)
    assert match, text
    value, rest = float(match[1]), match[2].strip()
    if rest.lower() in SCALES:
        return value * SCALES[rest.lower()], ()
    if rest in WRITTEN:
        return value, WRITTEN[rest]
    if rest[-1:] in ("²", "³"):
        return value, (f"{SYMBOLS[rest[:-1]]}**{2 if rest[-1] == '²' else 3}",)
    if rest in ("°C", "°F"):
        return value, (SYMBOLS[rest[-1].lower()],)
    return value, (SYMBOLS.get(rest, rest),) if rest else ()


def measure(errors: bool = False) -> Figures:
    """Shares of right values and units by class, uncased rows and cased ones."""
    figures: Figures = {}
    for kind in [*CLASSES, *(f"{c}_cased" for c in CLASSES)]:
        cases = [(said, written) for name, said, written in rows("nemo_itn_en") if name == kind]
        values = units = ours = ours_right = 0
        for said, written in cases:
            gold, names = _written(written)
            value, unit, own = _read(said)
            right = value is not None and abs(value - gold) <= 1e-9 * max(1, abs(gold))
            both = any(same_amount(value, unit, gold, n) for n in names) if names else right
            values, units = values + (right or both), units + both
            if names and names[0] in PRODUCT.values():
                ours, ours_right = ours + 1, ours_right + (PRODUCT.get(own or "") == names[0])
            if errors and not both:
                print(f"  {kind}: {said!r} is {written!r}, read as {value} {unit}")
        figures[f"{kind}: rows"] = len(cases)
        figures[f"{kind}: value right"] = values / len(cases)
        if "measure" in kind:
            figures[f"{kind}: value and unit right"] = units / len(cases)
            figures[f"{kind}: unit right, of units the product reads"] = ours_right / ours
    return figures


def _read(said: str) -> tuple[float | None, str | None, str | None]:
    """First value, its unit by Pint, and its unit as the product reads it; converted it is the product's."""
    talk = talk_of(said, ("talk_words", "talk_figures"))
    if not talk.measures:
        return None, None, None
    first = talk.measures[0]
    words = [t.text for t in talk.doc[first.number.end :]]
    own = None if first.role == "used" else first.unit
    if own and first.number.value != talk.numbers[0].value:
        return first.value, PRODUCT[own], own
    return first.value, unit_after(words), own


if __name__ == "__main__":
    show(measure)
