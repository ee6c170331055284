"""What the grades of brake fluid and oil mean, and which may stand for which."""

from __future__ import annotations

import re

from witnessmark.assess.context import Context
from witnessmark.assess.words import occurs, tokens
from witnessmark.knowledge.figures import Family
from witnessmark.knowledge.fluids import fluids
from witnessmark.types import Reading

_VISCOSITY = re.compile(r"\b(\d{1,2}W)-?(\d{1,2})\b")


def grades_in(text: str, families: tuple[Family, ...]) -> dict[str, tuple[str, int]]:
    """Scheme of grades → family and rank named in the text; a viscosity is a family of its own."""
    upper = f" {text.upper()} "
    found: dict[str, tuple[str, int]] = {}
    for family in families:
        for rank, member in enumerate(family.members):
            if re.search(rf"(?<![\w.]){re.escape(member.upper())}(?!\w|\.\d)", upper):
                found["family"] = (family.id, rank)
    if viscosity := _VISCOSITY.search(upper):
        found["viscosity"] = (viscosity[1] + viscosity[2], 0)
    return found


def grade_text(reading: Reading, context: Context) -> str:
    """The grade with the letters that were said beside it ("10W-40 M A two")."""
    text = reading.value if isinstance(reading.value, str) else f"{reading.value:g}"
    if reading.component not in ("engine_oil", "two_stroke_oil"):
        return text
    stretches = context.words(reading)
    rows = fluids().letters.items()
    said = [
        (len(tokens(phrase)), letters)
        for letters, phrases in rows
        for phrase in (*phrases, letters)
        if any(occurs(words, tokens(phrase)) for words in stretches) and letters.upper() not in text.upper()
    ]
    return f"{text} {max(said)[1]}" if said else text


def viscosity_words(text: str) -> str:
    """What SAE J300 asks of ``10W-40``; empty for other texts."""
    found = _VISCOSITY.search(text.upper())
    table = fluids()
    winter = table.sae_w.grades.get(found[1]) if found else None
    warm = table.sae.grades.get(found[2]) if found else None
    if found is None or winter is None or warm is None:
        return ""
    thin = found[2] == "40" and found[1] in table.sae_40.winter
    hths = table.sae_40.hths if thin else warm.hths
    cold = f"cranks at {winter.cranking[1]:g} °C with at most {winter.cranking[0]:g} mPa·s"
    hot = f"{warm.kv[0]:g} to under {warm.kv[1]:g} mm²/s at 100 °C, HTHS at least {hths:g} mPa·s"
    return f"{found[1]}-{found[2]}: {cold}, {hot} ({table.sae.source})"


def clutch_words(text: str, clutch: str | None) -> tuple[bool, str]:
    """Whether an oil's JASO letters speak against a wet clutch, and the words for it."""
    letters = next((g for g in sorted(fluids().jaso.grades, key=len, reverse=True) if _names(text, g)), None)
    if letters is None or clutch == "dry":
        return False, ""
    if fluids().jaso.grades[letters].wet_clutch:
        return False, f"JASO {letters} suits a wet clutch"
    what = "and this machine has one" if clutch == "wet" else "find out whether this machine has one"
    return (
        True,
        f"JASO {letters} is low in friction and not for a wet clutch that runs in the engine's oil; {what}",
    )


def _names(text: str, grade: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(grade)}(?!\w)", text.upper()) is not None


def brake_words(text: str) -> str:
    """What a grade of brake fluid is: base and least boiling points."""
    row = fluids().brake_fluid(text)
    if row is None:
        return ""
    if row.dry_degC is None:
        return f"{row.base}, {row.colour} when new"
    return (
        f"{row.base}, {row.colour} when new, boils at no less than {row.dry_degC:g} °C new"
        f" and {row.wet_degC:g} °C wet ({fluids().brake.source})"
    )
