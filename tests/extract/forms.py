"""The forms in which figures are said, and the share of each that is read right.

``python -m tests.extract.forms`` prints the table of ``docs/extract.md``. Number words are num2words' (an
independent library); the rest is generated from lists that stand here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import product
from typing import NamedTuple

from num2words import num2words

from witnessmark.extract import extract, pipeline
from witnessmark.extract.numbers import Number, find_numbers
from witnessmark.types import Reading

Tries = Iterable[tuple[str, object]]
"""What is said, and what should be read from it."""


class Form(NamedTuple):
    """One way of saying figures."""

    name: str
    example: str
    part: str
    """Module that reads it."""
    share: Callable[[], tuple[int, int]]
    """Right ones and all."""
    floor: float
    """Least share that the tests let pass."""


def numbers(text: str) -> list[Number]:
    """The numbers of a text."""
    return find_numbers([token.norm_ for token in pipeline().make_doc(text)])


def words(value: float) -> str:
    """A number in words, without the commas that num2words prints and nobody says."""
    return str(num2words(value)).replace(",", "")


def value(text: str) -> object:
    """The value of a text that is one number from its first word to its last."""
    found = numbers(text)
    return found[0].value if len(found) == 1 else None


def span(text: str) -> object:
    """Both ends of a text that is one range."""
    found = numbers(text)
    return (found[0].value, found[0].high) if len(found) == 1 else None


def digits(text: str) -> object:
    """All digits of a text that is one number."""
    found = numbers(text)
    return found[0].digits if len(found) == 1 else None


def reading(text: str) -> object:
    """Value and unit of the one reading of a sentence."""
    readings = [f for f in extract(text, jurisdiction="GB").findings if isinstance(f, Reading)]
    return (readings[0].value, readings[0].unit) if len(readings) == 1 else None


def code(text: str) -> object:
    """The one marking of a sentence."""
    found = reading(text)
    return found[0] if isinstance(found, tuple) else None


def odometer(text: str) -> object:
    """The distance on the clock."""
    clock = extract(text, jurisdiction="GB").machine.odometer
    return clock.value if clock else None


def registration(text: str) -> object:
    """The registration."""
    return extract(text, jurisdiction="GB").machine.registration


def vin(text: str) -> object:
    """The VIN."""
    return extract(text, jurisdiction="GB").machine.vin


# ── what is said ─────────────────────────────────────────────────────────────────────────────


def cardinals() -> Tries:
    return ((words(n), n) for n in range(10_000))


def cardinals_with_commas() -> Tries:
    return ((str(num2words(n)), n) for n in range(1_100, 10_000, 7))


def figures() -> Tries:
    return ((text, n) for n in range(10_000) for text in (str(n), f"{n:,}"))


def decimals() -> Tries:
    return ((words(n / 100), n / 100) for n in range(2_000))


def noughts() -> Tries:
    for n in range(1, 100):
        said = words(n / 100)
        yield said.replace("zero", "nought", 1), n / 100
        yield said.removeprefix("zero "), n / 100


def fractions() -> Tries:
    for whole in range(1, 21):
        for said, part in (("a half", 0.5), ("a quarter", 0.25), ("three quarters", 0.75)):
            yield f"{words(whole)} and {said}", whole + part
            yield f"{whole} and {said}", whole + part


def parts_of_an_inch() -> Tries:
    names = {16: "sixteenth", 32: "thirty-second", 64: "sixty-fourth"}
    for parts, name in names.items():
        for n in range(1, parts // 2):
            said = f"{words(n)} {name}{'s' if n > 1 else ''}"
            yield f"Front tread is {said}.", (n / parts, "in")


def a_mil_and_a_half() -> Tries:
    for unit in ("mil", "millimetre"):
        yield f"Front tread is a {unit} and a half.", (1.5, "mm")
        yield f"Front tread is a {unit} and a quarter.", (1.25, "mm")
        for n in range(2, 10):
            yield f"Front tread is {words(n)} {unit} and a half.", (n + 0.5, "mm")


def ranges() -> Tries:
    for low in range(1, 60, 3):
        for high in (low + 5, low + 10):
            yield f"{words(low)} to {words(high)}", (low, high)
            yield f"{low} to {high}", (low, high)
            yield f"{low}-{high}", (low, high)
            yield f"between {words(low)} and {words(high)}", (low, high)


def digit_pairs() -> Tries:
    for whole, tenth in product(range(1, 10), range(1, 10)):
        yield f"Front tread is {words(whole)} {words(tenth)}.", (whole + tenth / 10, "mm")


def volt_pairs() -> Tries:
    for whole, tenth in product(range(10, 16), range(1, 10)):
        yield f"Battery voltage is {words(whole)} {words(tenth)}.", (whole + tenth / 10, "V")


def clock_groups() -> Tries:
    for thousands in (4, 7, 10, 13, 14, 16, 19, 22, 25, 28, 31, 34, 37, 43, 46, 49, 52, 55, 58):
        for hundreds in (2, 5, 9):
            said = f"{words(thousands)} {words(hundreds)} on the clock."
            yield said, thousands * 1000 + hundreds * 100
        for rest in (150, 340, 990):
            said = f"{words(thousands)} thousand {words(rest)} miles on the clock."
            yield said, thousands * 1000 + rest


def years() -> Tries:
    return ((str(num2words(year, to="year")), str(year)) for year in range(1950, 2051))


_UNITS = {
    "psi": ("psi", "pounds", "pounds per square inch"),
    "bar": ("bar",),
    "kPa": ("kPa", "kilopascals"),
    "kgf/cm2": ("kg per square centimetre", "kilos per square centimetre"),
}
_LENGTHS = {"mm": ("mm", "mil", "millimetres", "millimeters"), "in": ("inches", "inch"), "thou": ("thou",)}
_TORQUES = {
    "Nm": ("Nm", "newton metres"),
    "lbf*ft": ("foot pounds", "ft lb", "pound feet"),
    "lbf*in": ("inch pounds",),
    "kgf*m": ("kgf m",),
}


def units() -> Tries:
    for table, said, figure in (
        (_UNITS, "Front tyre pressure is", 2),
        (_LENGTHS, "Chain slack is", 2),
        (_TORQUES, "Rear axle nut torque is", 20),
    ):
        for unit, names in table.items():
            for name in names:
                yield f"{said} {figure} {name}.", (figure, unit)
                yield f"{said} {words(figure)} {name}.", (figure, unit)


def _pair(number: int) -> str:
    """Two digits as they are said: "oh nine", "twenty-two"."""
    return f"oh {words(number)}" if 0 < number < 10 else "double oh" if number == 0 else words(number)


def date_codes() -> Tries:
    for week, year in product(range(1, 54, 4), range(3, 26, 5)):
        said, code_ = f"{week:02d}{year:02d}", f"20{year:02d}-W{week:02d}"
        spelled = " ".join(words(int(digit)) for digit in said)
        yield f"Front tyre date code {said}.", code_
        yield f"Front tyre date code {spelled}.", code_
        yield f"Front tyre date code {_pair(week)} {_pair(year)}.", code_
        yield f"Front tyre, week {words(week)} of {num2words(2000 + year, to='year')}.", code_
        yield f"Front tyre, week {week} of 20{year:02d}.", code_
        yield f"Front tyre was made in the {num2words(week, to='ordinal')} week of 20{year:02d}.", code_


SIZES = (
    (120, 70, 17), (180, 55, 17), (110, 80, 18), (120, 90, 18), (90, 90, 21), (100, 90, 19), (130, 90, 16),
    (150, 70, 17), (190, 50, 17), (160, 60, 17), (110, 70, 12), (80, 100, 21), (140, 80, 17), (90, 90, 18),
)  # fmt: skip
INCH_SIZES = (
    ("3.00", "three point oh oh", 18),
    ("2.75", "two point seven five", 18),
    ("3.25", "three twenty-five", 19),
    ("4.10", "four point one oh", 18),
    ("2.50", "two fifty", 17),
)


def _width(width: int) -> str:
    """ "one twenty", "ninety": a width as it is said."""
    return f"one {_pair(width - 100)}" if width > 100 else words(width)


def tyre_sizes() -> Tries:
    for width, aspect, rim in SIZES:
        written = f"{width}/{aspect}-{rim}"
        yield f"Front tyre size is {_width(width)} {words(aspect)} {words(rim)}.", written
        yield f"Front tyre size is {width} {aspect} {rim}.", written
        yield f"Front tyre size is {written}.", written
        yield f"Front tyre size is {width}/{aspect} ZR {rim}.", f"{width}/{aspect}ZR{rim}"
        yield f"Front tyre size is {width}/{aspect}R{rim}.", f"{width}/{aspect}R{rim}"
    for inches, said, rim in INCH_SIZES:
        yield f"Rear tyre size is {inches}-{rim}.", f"{inches}-{rim}"
        yield f"Rear tyre size is {said} by {words(rim)}.", f"{inches}-{rim}"


_ICAO = """alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november oscar papa
quebec romeo sierra tango uniform victor whiskey x-ray yankee zulu"""
LETTERS = dict(zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", _ICAO.split(), strict=True))
"""The spelling alphabet of ICAO Annex 10 vol. II."""


def spelled(text: str) -> str:
    """Letters by spelling words, digits by number words."""
    return " ".join(words(int(c)) if c.isdigit() else LETTERS[c] for c in text)


def fault_codes() -> Tries:
    for letter, number in product("PCBU", ("0118", "0171", "0301", "1234", "2135")):
        yield f"Fault code {letter}{number}.", f"{letter}{number}"
        digits_ = " ".join(words(int(c)) for c in number)
        yield f"Fault code {letter} {digits_}.", f"{letter}{number}"
        yield f"Fault code {letter} {digits_.replace('zero', 'oh')}.", f"{letter}{number}"
        yield f"Fault code {spelled(letter)} {digits_}.", f"{letter}{number}"


def flashes() -> Tries:
    for tens, ones in product(range(1, 9), range(1, 10)):
        said = f"Engine light is flashing, {words(tens)} long, {words(ones)} short."
        yield said, f"{tens}{ones}"


MARKS = (
    "AB12CDE", "DE51YRE", "SK54MPK", "KT19WBD", "AB12CDZ", "PH68KLM", "YK72POT", "GY23TOF", "NX09ABV",
    "K50WTB", "X666EON", "A123BCD", "T7FGH", "Q123ABC", "EDW412D", "ABC12K", "IAZ1234", "ABC123",
)  # fmt: skip
VINS = ("1G4AH59H45G118341", "1M8GDM9AXKP042788", "5GZCZ43D13S812715", "11111111111111111")


def marks_spelled() -> Tries:
    for mark in MARKS:
        yield f"Registration {spelled(mark)}.", mark
        yield f"Reg {' '.join(mark)}, nice bike.", mark


def marks_printed() -> Tries:
    for mark in MARKS:
        yield f"Registration {mark}.", mark


def vins_spelled() -> Tries:
    for number in VINS:
        yield f"VIN {spelled(number)}.", number
        yield f"Frame number {' '.join(number)}.", number
        yield f"VIN is {number}.", number


def _share(tries: Callable[[], Tries], read: Callable[[str], object]) -> Callable[[], tuple[int, int]]:
    def count() -> tuple[int, int]:
        results = [same(read(said), right) for said, right in tries()]
        return sum(results), len(results)

    return count


def same(found: object, right: object) -> bool:
    """Whether figures are equal but for rounding, and all else is equal."""
    if isinstance(found, tuple) and isinstance(right, tuple):
        return len(found) == len(right) and all(map(same, found, right))
    if isinstance(found, (int, float)) and isinstance(right, (int, float)):
        return abs(found - right) < 1e-6
    return found == right


def wrong(form: str) -> Iterator[tuple[str, object, object]]:
    """What a form's tries came to where they were read wrong: said, read, right."""
    tries, read = _TRIES[form]
    for said, right in tries():
        if not same(found := read(said), right):
            yield said, found, right


_ROWS: tuple[tuple[str, str, str, Callable[[], Tries], Callable[[str], object], float], ...] = (
    ("cardinals 0 to 9,999", "four hundred and seven", "numbers", cardinals, value, 1.0),
    ("the same with a comma", "one thousand, two hundred", "numbers", cardinals_with_commas, value, 0.08),
    ("digits, with and without commas", "14,230", "numbers", figures, value, 1.0),
    ("decimals", "two point three five", "numbers", decimals, value, 1.0),
    ("less than one", "nought point eight, point eight", "numbers", noughts, value, 1.0),
    ("halves and quarters", "two and three quarters", "numbers", fractions, value, 1.0),
    ("parts of an inch", "three thirty-seconds", "numbers, measures", parts_of_an_inch, reading, 1.0),
    ("a unit and a half", "a mil and a half", "measures", a_mil_and_a_half, reading, 1.0),
    ("ranges", "between 25 and 35", "numbers", ranges, span, 1.0),
    ("years", "nineteen ninety-nine", "numbers", years, digits, 1.0),
    ("decimals without their point, mm", "two five", "measures, quantities", digit_pairs, reading, 1.0),
    ("decimals without their point, V", "twelve six", "measures, quantities", volt_pairs, reading, 1.0),
    ("grouped distances", "fourteen two on the clock", "identity", clock_groups, odometer, 1.0),
    ("units", "two kilos per square centimetre", "measures", units, reading, 1.0),
    ("dates of manufacture", "week twenty-two of 2017", "codes", date_codes, code, 1.0),
    ("tyre sizes", "one twenty seventy seventeen", "sizes", tyre_sizes, code, 1.0),
    ("fault codes", "P oh one one eight", "faults", fault_codes, code, 1.0),
    ("counted flashes", "two long, three short", "faults", flashes, code, 1.0),
    ("registrations, spelled", "kilo tango one nine ...", "identity", marks_spelled, registration, 1.0),
    ("registrations, printed", "KT19WBD", "identity", marks_printed, registration, 1.0),
    ("VINs", "one mike eight golf ...", "identity", vins_spelled, vin, 1.0),
)
_TRIES = {row[0]: (row[3], row[4]) for row in _ROWS}
FORMS = tuple(
    Form(name, eg, part, _share(tries, read), floor) for name, eg, part, tries, read, floor in _ROWS
)


def table() -> str:
    """All forms, as a table of Markdown."""
    rows = ["| form | as in | read by | right | of |", "|---|---|---|---|---|"]
    for form in FORMS:
        right, tried = form.share()
        rows.append(f"| {form.name} | {form.example} | {form.part} | {right / tried:.1%} | {tried:,} |")
    return "\n".join(rows)


if __name__ == "__main__":
    print(table())
