"""Values with units in printed sentences, against CQE's dimension and temperature sets (no licence stated).

Counts of bare nouns ("14 people") are mapped out on both sides: gold quantities whose unit Pint does not
know, and our numbers without a unit; the value's F1 is also given with nothing mapped out. Numbers are the
product's. Units are Pint's, because the sets hold few units of this trade; for those that the product reads
its own reading is counted beside it. Set aside as the trade's own: bare degrees are Celsius, pounds are psi.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator

from witnessmark.extract.talk import Talk
from witnessmark.extract.unitwords import in_code, is_negative

from .corpora import Figures, common, path, scores, show, talk_of
from .spoken_units import registry, unit_after

SETS = ("dimension", "temperature")
GOLD_NAMES = {
    "pound-mass": "pound", "percentage": "percent", "year of age": "year", "celsius": "degree_Celsius",
    "fahrenheit": "degree_Fahrenheit",
}  # fmt: skip
PRODUCT = {
    "mm": "millimeter", "in": "inch", "km": "kilometer", "mi": "mile", "mL": "milliliter", "%": "percent",
    "s": "second", "min": "minute", "degC": "degree_Celsius", "degF": "degree_Fahrenheit",
}  # fmt: skip
"""Units of the sets that the product itself reads."""
Quantity = tuple[float, float, str]


def _base(unit: str) -> str | None:
    """A unit in a form that can be compared; None for what Pint does not know."""
    if unit.startswith("degree_") or unit == "dollar":
        return unit
    units = registry()
    try:
        amount = units.Quantity(1.0, unit).to_base_units()
    except Exception:  # whatever Pint makes of words that are no unit
        return None
    return f"{amount.magnitude:.9g} {amount.units}"


def _gold(quantities: list[dict[str, str]]) -> Iterator[Quantity]:
    for quantity in quantities:
        name = quantity["normalized_unit"]
        top, _, bottom = GOLD_NAMES.get(name, name).partition(" per ")
        words = [GOLD_NAMES.get(name)] if name in GOLD_NAMES else [unit_after(top.split())]
        if bottom:
            words.append(unit_after(bottom.split()))
        if None in words or (not bottom and len(top.split()) > 1 and not _whole(top)):
            continue
        unit = _base("/".join(f"({w})" if len(words) > 1 else str(w) for w in words))
        if unit:
            yield *_value(quantity["value"]), unit


def _value(text: str) -> tuple[float, float]:
    """A value, or both ends of "75-300"."""
    low, _, high = text[1:].partition("-")
    value = float(text[0] + low)
    return value, float(high) if high else value


def _whole(name: str) -> bool:
    """Whether all words of a name make one unit ("square metre", not "large city")."""
    return unit_after(name.split()) is not None and unit_after([*name.split(), "x"]) is not None


def _found(text: str) -> Iterator[Quantity]:
    talk = talk_of(text, ("talk_words", "talk_figures"))
    for number in talk.numbers:
        words = _words(talk, number.end)
        unit = "dollar" if talk.at(number.start - 1) == "$" else unit_after(words)
        letter = unit is not None and len(words[0]) == 1
        if unit is None or (letter and in_code(talk, number.start, number.end + 1)):
            continue
        name = _base(unit)
        if name:
            value = -number.value if is_negative(talk, number) else number.value
            yield value, number.high if number.high is not None else value, name


def _words(talk: Talk, start: int) -> list[str]:
    """Words from a token on; "km2" is one."""
    words = [t.text for t in talk.doc[start:]]
    for at in range(len(words) - 1, 0, -1):
        if words[at] in ("2", "3") and not talk.doc[start + at - 1].whitespace_ and words[at - 1].isalpha():
            words[at - 1 : at + 1] = [words[at - 1] + words[at]]
    return words


def _own(text: str) -> Iterator[Quantity]:
    """What the product reads by itself."""
    for measure in talk_of(text, ("talk_words", "talk_figures")).measures:
        if measure.unit in PRODUCT and measure.role == "value":
            high = measure.high if measure.high is not None else measure.value
            yield measure.value, high, str(_base(PRODUCT[measure.unit]))


def _everything(text: str) -> Iterator[tuple[float, float]]:
    for number in talk_of(text, ("talk_words", "talk_figures")).numbers:
        yield number.value, number.high if number.high is not None else number.value


def measure(errors: bool = False) -> Figures:
    """Precision, recall and F1 of values, and of values with units, by set."""
    figures: Figures = {}
    for name in SETS:
        cases = json.loads(path(f"cqe_eval/formatted_test_set/{name}-model.json").read_text("utf-8"))
        tally: Counter[str] = Counter()
        for case in cases:
            right, found = list(_gold(case["quantities"])), list(_found(case["text"]))
            own = [q for q in right if q[2] in {_base(unit) for unit in PRODUCT.values()}]
            values = [_value(q["value"]) for q in case["quantities"]]
            numbers = list(_everything(case["text"]))
            tally += Counter(
                gold=len(right),
                said=len(found),
                values=common([f[:2] for f in found], [g[:2] for g in right]),
                both=common(found, right),
                own=len(own),
                own_right=common(_own(case["text"]), own),
                all_gold=len(values),
                all_said=len(numbers),
                all_right=common(numbers, values),
            )
            if errors and common(found, right) < max(len(found), len(right)):
                print(f"  {name}: {case['text']!r}\n      gold {right}\n      read {found}")
        figures |= _figures(name, tally)
    return figures


def _figures(name: str, tally: Counter[str]) -> Figures:
    precision, recall, both = scores(tally["both"], tally["said"], tally["gold"])
    return {
        f"{name}: quantities with a unit": tally["gold"],
        f"{name}: precision, value and unit": precision,
        f"{name}: recall, value and unit": recall,
        f"{name}: F1, value": scores(tally["values"], tally["said"], tally["gold"])[2],
        f"{name}: F1, value and unit": both,
        f"{name}: F1, value, nothing mapped out": scores(
            tally["all_right"], tally["all_said"], tally["all_gold"]
        )[2],
        f"{name}: quantities in units the product reads": tally["own"],
        f"{name}: recall of those by the product": tally["own_right"] / tally["own"],
    }


if __name__ == "__main__":
    show(measure)
