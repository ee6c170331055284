"""Units of any trade in words or symbols, by Pint: what a suite needs and the product does not read."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import pint

SYMBOLS = {
    "%": "percent", '"': "inch", "'": "foot", "in": "inch", "ft": "foot", "mi": "mile", "yd": "yard",
    "m": "meter", "mm": "millimeter", "cm": "centimeter", "dm": "decimeter", "km": "kilometer",
    "μm": "micrometer", "pm": "picometer", "ha": "hectare", "au": "astronomical_unit", "g": "gram",
    "gramme": "gram", "microgramme": "microgram", "kg": "kilogram", "t": "metric_ton", "μg": "microgram",
    "lb": "pound", "lbs": "pound", "oz": "ounce", "l": "liter", "ml": "milliliter", "kl": "kiloliter",
    "cc": "cubic_centimeter", "h": "hour", "hr": "hour", "s": "second", "ms": "millisecond", "v": "volt",
    "mv": "millivolt", "hp": "horsepower", "kW": "kilowatt", "kWh": "kilowatt_hour", "kgf": "force_kilogram",
    "lm": "lumen", "rad": "radian", "mph": "mile/hour", "kph": "kilometer/hour", "kmph": "kilometer/hour",
    "b": "bit", "mb": "megabit", "MB": "megabyte", "°": "degree", "deg": "degree", "sq": "square",
    "drachm": "dram", "c": "degree_Celsius", "f": "degree_Fahrenheit", "celsius": "degree_Celsius",
    "celcius": "degree_Celsius", "centigrade": "degree_Celsius", "fahrenheit": "degree_Fahrenheit",
    "farenheit": "degree_Fahrenheit",
}  # fmt: skip
"""Symbols and spellings that Pint lacks or takes otherwise."""
PREFIXES = ("pico", "nano", "micro", "milli", "centi", "deci", "kilo", "mega", "giga", "tera", "peta")
RAISED = {"²": 2, "2": 2, "³": 3, "3": 3}
POWERS = {"square": 2, "sq": 2, "cubic": 3}
PHRASES = {
    ("c", "c"): "cubic_centimeter", ("astronomical", "units"): "astronomical_unit",
    ("kilograms", "force"): "force_kilogram", ("metric", "ton"): "metric_ton",
    ("metric", "tons"): "metric_ton",
}  # fmt: skip
HOURS = frozenset(("hour", "hours"))
"""They multiply the unit before them."""
TEMPERATURES = {"degree_Celsius", "degree_Fahrenheit"}
_OPEN = frozenset("-([{<")


@cache
def registry() -> Any:
    """Pint's units, with a dollar."""
    units = pint.UnitRegistry(cache_folder=":auto:")
    units.define("dollar = [currency]")
    return units


@cache
def _names() -> frozenset[str]:
    return frozenset(n for n in dir(registry()) if len(n) > 2 and n.replace("_", "").isalpha())


def name_of(word: str) -> str | None:
    """Pint's name for one word: singular or plural, with or without a prefix."""
    if word in SYMBOLS or word.lower() in SYMBOLS:
        return SYMBOLS.get(word) or SYMBOLS[word.lower()]
    low = word.lower()
    for form in (low, low.removesuffix("s"), low.removesuffix("es")):
        if form in SYMBOLS and len(form) > 2:
            return SYMBOLS[form]
        prefix = next((p for p in PREFIXES if form.startswith(p) and form != p), "")
        if form in _names() or (prefix and form.removeprefix(prefix) in _names()):
            return form
    return None


def unit_after(words: Sequence[str]) -> str | None:
    """The unit that a sequence of words begins with, as an expression for Pint."""
    at = 1 if words and words[0] in _OPEN else 0
    top, at = _product(words, at)
    if at < len(words) and words[at] in ("per", "/", "a", "an") and (top or words[at] in ("per", "/")):
        bottom, _ = _product(words, at + 1)
        if bottom:
            return f"{top or '1'}/({bottom})"
    return top or None


def _product(words: Sequence[str], at: int) -> tuple[str, int]:
    """Factors one after the other: "kilo watt hours", "square miles"."""
    factors: list[str] = []
    while (not factors or _at(words, at) in HOURS) and (factor := _factor(words, at)):
        factors.append(factor[0])
        at = factor[1]
    return "*".join(factors), at


def _factor(words: Sequence[str], at: int) -> tuple[str, int] | None:
    """One unit, the power or prefix said before it included, and where it ends."""
    word, after = _at(words, at).removesuffix("-"), _at(words, at + 1)
    if (word, after) in PHRASES:
        return PHRASES[word, after], at + 2
    if word in POWERS:
        base = _factor(words, at + 1)
        return (f"{base[0]}**{POWERS[word]}", base[1]) if base else None
    if word in PREFIXES and (name := name_of(word + after)):
        return name, at + 2
    for mark, power in RAISED.items():
        if word.endswith(mark) and (name := name_of(word.removesuffix(mark))):
            return f"{name}**{power}", at + 1
    name = name_of(word) if word else None
    if name in ("degree", "degrees") and (scale := name_of(after)) in TEMPERATURES:
        return str(scale), at + 2
    return (name, at + 1) if name else None


def _at(words: Sequence[str], at: int) -> str:
    return words[at] if at < len(words) else ""


def same_amount(value: float | None, unit: str | None, gold: float, gold_unit: str | None) -> bool:
    """Whether two amounts are one, the units written differently or not."""
    if value is None or unit is None or gold_unit is None:
        return value == gold and unit is None and gold_unit is None
    if TEMPERATURES & {unit, gold_unit}:
        return value == gold and unit == gold_unit
    units = registry()
    try:
        ratio = (units.Quantity(1, unit) / units.Quantity(1, gold_unit)).to_base_units()
    except (pint.UndefinedUnitError, pint.OffsetUnitCalculusError):
        return False
    return bool(ratio.dimensionless) and abs(value * ratio.magnitude - gold) <= 1e-9 * max(1, abs(gold))
