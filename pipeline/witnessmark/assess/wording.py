"""Says a judgement and its margin in plain words."""

from __future__ import annotations

from witnessmark.knowledge.figures import Figure
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade, Item, Reading
from witnessmark.units import text_of

_WHOSE = {
    Basis.SAID: "the {} of {} given with the reading",
    Basis.MACHINE_CARD: "the maker's {} of {} (machine card)",
    Basis.LAW: "the legal {} of {}",
    Basis.COMMON_PRACTICE: "the customary {} of {}",
}
_NAMES = {"low": "minimum", "high": "maximum", "range": "range", "target": "figure"}
_ONE_DECIMAL = ("mm", "bar", "V")


def shown(value: float, unit: str | None) -> str:
    """``1.0 mm``, ``36 psi``: small lengths, pressures and voltages keep one decimal."""
    text = text_of(value, unit)
    number, _, rest = text.partition(" ")
    if unit in _ONE_DECIMAL and abs(value) < 10 and number.lstrip("-").isdigit():
        return f"{number}.0 {rest}"
    return text


def sentence(*parts: str) -> str:
    """Parts joined into sentences, each with its capital and full stop."""
    whole = (part.strip().rstrip(".") for part in parts if part.strip())
    return " ".join(f"{part[0].upper()}{part[1:]}{'' if part[-1] in '?!' else '.'}" for part in whole)


def place_of(item: Item) -> str:
    """``rear left indicator``."""
    part = vocabulary().components.get(item.component)
    return " ".join(filter(None, (item.end, item.side, part.name if part else item.component)))


def quantity_of(reading: Reading) -> str:
    """``tread depth``."""
    return vocabulary().quantities.get(reading.quantity, (None, reading.quantity))[1]


def value_of(reading: Reading, value: float, unit: str | None) -> str:
    """The reading as said, and in the limit's unit where that differs."""
    if isinstance(reading.value, str):
        return reading.value
    said = shown(reading.value, reading.unit)
    return said if reading.unit == unit else f"{said} ({shown(value, unit)})"


def _figures(figure: Figure) -> str:
    if figure.low is not None and figure.high is not None:
        return f"{shown(figure.low, figure.unit).split()[0]} to {shown(figure.high, figure.unit)}"
    return next(shown(f, figure.unit) for f in (figure.low, figure.high, figure.target) if f is not None)


def against(figure: Figure, basis: Basis, value: float, gap: float) -> str:
    """``1.5 mm above the legal minimum of 1.0 mm``; ``gap`` is the distance to the nearest bound."""
    whose = _WHOSE[basis].format(_NAMES[figure.kind], _figures(figure))
    bounds = [bound for bound in (figure.low, figure.high, figure.target) if bound is not None]
    if min(abs(value - bound) for bound in bounds) <= 1e-9:
        return f"exactly {whose}" if len(bounds) == 1 else f"at the edge of {whose}"
    if figure.kind == "range" and min(bounds) < value < max(bounds):
        return f"within {whose}"
    nearest = min(bounds, key=lambda bound: abs(value - bound))
    return f"{shown(float(f'{gap:.3g}'), figure.unit)} {'above' if value > nearest else 'below'} {whose}"


def asked_for(rules: Rules) -> str:
    """What to say when the country is not known."""
    unknown = f"No rules are declared for {rules.asked}" if rules.asked else "No country was given"
    return f"{unknown}: name the country of use to have it judged"


def meaning(grade: Grade, rules: Rules) -> str:
    """What a grade asks for; empty for those that ask nothing."""
    return rules.severity.meanings.get(grade, "")
