"""Judges readings that are text: tyre sizes, grades of oil and fluid, fault codes."""

from __future__ import annotations

import re

from witnessmark.assess.grading import reading_ruling
from witnessmark.assess.wording import meaning, place_of, quantity_of, sentence
from witnessmark.knowledge.cards import MachineCard, Marking
from witnessmark.knowledge.figures import Family
from witnessmark.knowledge.limits import Rules
from witnessmark.types import Basis, Grade, Reading, Verdict

_SIZE = re.compile(
    r"(?P<width>\d{2,3})/(?P<aspect>\d{2,3})[VZ]?(?P<structure>[RBD-])?[VHSZ]?(?P<rim>\d{2})"
    r"(?:M/?C)?\(?(?P<load>\d{2,3})?(?P<speed>[A-Z])?\)?"
)
"""Metric tyre sizes, after the definitions of UN regulation 75 (from memory)."""
_VISCOSITY = re.compile(r"\b\d{1,2}W-?\d{2}\b")


def _size(text: str) -> dict[str, str]:
    found = _SIZE.match(re.sub(r"\s", "", text.upper()))
    named = found.groupdict() if found else {}
    return {key: value.replace("D", "-") for key, value in named.items() if value}


def _grades(text: str, families: tuple[Family, ...]) -> dict[str, tuple[str, int]]:
    """Scheme of grades → family and rank named in the text; a viscosity is a family of its own."""
    upper = f" {text.upper()} "
    found: dict[str, tuple[str, int]] = {}
    for family in families:
        for rank, member in enumerate(family.members):
            if re.search(rf"(?<![\w.]){re.escape(member.upper())}(?!\w|\.\d)", upper):
                found["family"] = (family.id, rank)
    if viscosity := _VISCOSITY.search(upper):
        found["viscosity"] = (viscosity[0].replace("-", ""), 0)
    return found


def differs(reading: Reading, wanted: str, families: tuple[Family, ...]) -> bool | None:
    """Whether a marking is another than the machine's; None when the two cannot be compared.

    A higher load index, or a higher grade of the same family, does not differ; a lower one does.
    """
    text = _text(reading)
    if reading.quantity == "size_marking":
        return _size_differs(_size(text), _size(wanted))
    own = tuple(f for f in families if (f.component, f.quantity) == (reading.component, reading.quantity))
    said, card = _grades(text, own), _grades(wanted, own)
    both = said.keys() & card.keys()
    return any(said[k][0] != card[k][0] or said[k][1] < card[k][1] for k in both) if both else None


def _size_differs(said: dict[str, str], card: dict[str, str]) -> bool | None:
    if not said or not card:
        return None
    if any(said[key] != card[key] for key in ("width", "aspect", "rim")):
        return True
    if "structure" not in said or "structure" not in card:
        return None
    lower_load = int(said.get("load", "999")) < int(card.get("load", "0"))
    return lower_load or said["structure"] != card["structure"]


def assess_text(reading: Reading, rules: Rules, card: MachineCard | None) -> Verdict:
    """The verdict on a reading that is text; never raises."""
    if ruling := reading_ruling(reading, rules, "stated", Basis.NONE):
        return ruling.verdict(reading.key, sentence(f"{_said(reading)}: {meaning(ruling.grade, rules)}"))
    wanted = _wanted(reading, card)
    other = differs(reading, wanted.text, rules.practice.families) if wanted else None
    if card is not None and wanted is not None and other is not None:
        return _compared(reading, rules, card, wanted, other)
    remark = f"the machine card wants {wanted.text}; compare them" if wanted else "no rule judges it"
    return Verdict(
        item=reading.key, grade=Grade.UNGRADED, basis=Basis.NONE, message=sentence(_said(reading), remark)
    )


def _text(reading: Reading) -> str:
    return reading.value if isinstance(reading.value, str) else f"{reading.value:g}"


def _said(reading: Reading) -> str:
    return f"{place_of(reading)} {quantity_of(reading)} {_text(reading)}"


def _wanted(reading: Reading, card: MachineCard | None) -> Marking | None:
    subject = (reading.component, reading.quantity)
    rows = (row for row in (card.markings if card else ()) if (row.component, row.quantity) == subject)
    return next((row for row in rows if row.end in (None, reading.end)), None)


def _compared(reading: Reading, rules: Rules, card: MachineCard, wanted: Marking, other: bool) -> Verdict:
    ruling = reading_ruling(reading, rules, "other", Basis.MACHINE_CARD) if other else None
    grade = ruling.grade if ruling else Grade.SOUND
    verb = "is not" if other else "agrees with"
    return Verdict(
        item=reading.key,
        grade=grade,
        basis=Basis.MACHINE_CARD,
        rule=wanted.id,
        source=card.source,
        sureness=card.sureness,
        message=sentence(
            f"{_said(reading)} {verb} the {wanted.text} of the machine card", meaning(grade, rules)
        ),
    )
