"""Judges the machine's identity: the VIN by its letters and check digit, the registration by its form.

Nothing here fails a machine: a number that cannot be is to be read again.
"""

from __future__ import annotations

import re
from datetime import date

from witnessmark.assess.wording import sentence
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.marks import Format, marks
from witnessmark.knowledge.rows import Sureness
from witnessmark.types import Basis, Grade, Machine, Verdict

ITEM = "machine"
"""Key of these verdicts' item."""
_CENTURY = 2000
_LAST = 2039
"""Last year of the symbols' second turn."""


def check_digit(vin: str) -> str:
    """What position 9 of a VIN must be: 0 to 9, or X for 10.

    Raises:
        KeyError: on a character that no VIN has.
    """
    table = marks().vin
    value = {**table.values, **{str(digit): digit for digit in range(10)}}
    total = sum(weight * value[symbol] for weight, symbol in zip(table.weights, vin, strict=True))
    return "0123456789X"[total % 11]


def model_years(vin: str, until: int) -> tuple[int, ...]:
    """The years that position 10 may mean, none after ``until``; empty when its symbol means none."""
    years = marks().vin.years
    at = years.symbols.find(vin[9])
    return tuple(range(years.first + at, until + 1, years.cycle)) if at >= 0 else ()


def vin_fault(vin: str) -> str:
    """Why it cannot be a VIN; empty when it can."""
    table = marks().vin
    if len(vin) != table.length:
        return f"a VIN has {table.length} characters and this has {len(vin)}"
    for symbol in vin:
        if symbol in table.hints:
            return f"no VIN has the letter {symbol}; was it {table.hints[symbol]}?"
        if symbol not in table.values and symbol not in "0123456789":
            return f"no VIN has the sign {symbol}"
    return ""


def form_of(registration: str, jurisdiction: str) -> Format | None:
    """The form of a registration in that country, spaces aside; None when it has none of those declared."""
    plain = re.sub(r"[\s-]", "", registration.upper())
    rows = (row for row in marks().registrations if row.jurisdiction == jurisdiction)
    return next((row for row in rows if re.fullmatch(row.pattern, plain)), None)


def issued(form: Format, registration: str) -> str:
    """When a mark of that form was first issued, in words; empty where it does not tell."""
    found = re.fullmatch(form.pattern, re.sub(r"[\s-]", "", registration.upper()))
    age = found.groupdict().get("age") if found else None
    if age is None:
        return ""
    if form.rule == "march-september":
        year = int(age)
        if year < 50:
            return f"issued March to August {_CENTURY + year}"
        return f"issued September {_CENTURY + year - 50} to February {_CENTURY + year - 49}"
    return f"issued from {form.years[age]} on" if age in form.years else ""


def assess_machine(machine: Machine, rules: Rules, on: date | None) -> tuple[Verdict, ...]:
    """Verdicts on the VIN and the registration, as far as they were said; never raises, never fails one."""
    found = []
    if machine.vin:
        found.append(_vin(machine.vin, rules, on))
    declared = [
        code for code in rules.chain if any(row.jurisdiction == code for row in marks().registrations)
    ]
    if machine.registration and declared:
        found.append(_registration(machine.registration, declared[0]))
    return tuple(found)


def _verdict(grade: Grade, rule: str, source: str, sureness: Sureness, *words: str) -> Verdict:
    return Verdict(
        item=ITEM,
        grade=grade,
        basis=Basis.NONE,
        rule=rule,
        source=source,
        sureness=sureness,
        message=sentence(*words),
    )


def _vin(vin: str, rules: Rules, on: date | None) -> Verdict:
    table, plain = marks().vin, re.sub(r"[\s-]", "", vin.upper())

    def told(grade: Grade, rule: str, *words: str) -> Verdict:
        head, *rest = words
        return _verdict(grade, rule, table.source, table.sureness, f"VIN {plain}: {head}", *rest)

    if fault := vin_fault(plain):
        return told(Grade.UNGRADED, "vin.form", fault, "Read it again")
    if (digit := check_digit(plain)) != plain[8]:
        differs = f"position 9 is {plain[8]} and the check digit would be {digit}"
        if any(code in table.bound for code in rules.chain):
            return told(Grade.ADVISORY, "vin.check", differs, "Read it again before it is recorded")
        note = (
            "Only North America asks for it, so this is information and no error; compare it with the frame"
        )
        return told(Grade.UNGRADED, "vin.check", differs, note)
    years = model_years(plain, on.year + 1 if on else _LAST)
    if not years:
        return told(
            Grade.UNGRADED,
            "vin.year",
            f"its check digit fits, but position 10 is {plain[9]}, which stands for no year so far",
            "Read it again",
        )
    meant = " or ".join(map(str, years))
    year = f"Model year {meant}, if the maker uses position 10 ({table.years.source}, from memory)"
    return told(Grade.SOUND, "vin.check", "its check digit fits", year)


def _registration(registration: str, country: str) -> Verdict:
    origin, head = marks().registrations_source, f"Registration {registration}"
    if form := form_of(registration, country):
        words = f"{head}: form {form.name}", issued(form, registration)
        return _verdict(Grade.SOUND, form.id, origin.source, origin.sureness, *words)
    fault = f"{head}: no mark of {country} has this form"
    return _verdict(
        Grade.UNGRADED, "registration.form", origin.source, origin.sureness, fault, "Read it again"
    )
