"""Judges the dip of a headlamp's cut-off, in per cent below the horizontal, by the height of the lamp."""

from __future__ import annotations

from witnessmark.assess.context import Context
from witnessmark.assess.figures import Measure, judge
from witnessmark.assess.wording import place_of, sentence, shown
from witnessmark.knowledge.electrics import Aim, electrics
from witnessmark.knowledge.figures import Figure
from witnessmark.types import Basis, Grade, Reading, Verdict
from witnessmark.units import convert

LAMPS = ("headlight_dip", "headlight_main")


def band(height_mm: float, jurisdiction: str) -> Aim | None:
    """The band of dip for a lamp whose centre is that high; None where the country has none declared."""
    rows = [row for row in electrics().aim if row.jurisdiction == jurisdiction]
    lower = [row for row in rows if row.up_to_mm is not None and height_mm <= row.up_to_mm]
    return min(lower, key=lambda row: row.up_to_mm or 0.0, default=None) or next(
        (row for row in rows if row.up_to_mm is None), None
    )


def drop_mm(percent: float, distance_m: float) -> float:
    """How far below the lamp's centre the cut-off falls on a wall, in mm."""
    return percent * distance_m * 10


def is_dip(reading: Reading) -> bool:
    """Whether a reading is the dip of a headlamp."""
    return reading.component in LAMPS and reading.unit == "%" and not isinstance(reading.value, str)


def assess_dip(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    """The verdicts on a dip; the height is a length read on the same lamp, and asked for where it matters."""
    heights, told = _heights(reading, context)
    bands = [row for row in (band(height, code) for height in heights for code in context.rules.chain) if row]
    if not bands:
        return (_open(reading, "no dip is declared for this country", _on_walls(reading)),)
    verdicts = list(dict.fromkeys(_judged(reading, row, context, told) for row in dict.fromkeys(bands)))
    if len({verdict.grade for verdict in verdicts}) > 1:
        return (
            _open(reading, "say how high the lamp's centre is; the band depends on it", _on_walls(reading)),
        )
    return (verdicts[0],)


def _heights(reading: Reading, context: Context) -> tuple[list[float], str]:
    told = context.beside(reading, "length")
    if told is not None and not isinstance(told.value, str) and told.unit:
        try:
            height = convert(told.value, told.unit, "mm")
        except ValueError:
            height = 0.0
        if height > 0:
            return [height], f"Centre of the lamp at {shown(height, 'mm')}"
    edges = {row.up_to_mm for row in electrics().aim if row.up_to_mm is not None}
    return [*edges, max(edges, default=0.0) + 1], ""


def _judged(reading: Reading, row: Aim, context: Context, told: str) -> Verdict:
    figure = Figure(
        id=row.id, component=reading.component, quantity=reading.quantity, kind="range",
        low=row.low, high=row.high, unit="%",
    )  # fmt: skip
    measure = Measure(figure, Basis.LAW, f"{row.source}, {row.section}", row.sureness)
    verdict = judge(measure, reading, context).verdict
    return verdict.model_copy(update={"message": sentence(verdict.message, told, _on_walls(reading))})


def _on_walls(reading: Reading) -> str:
    drops = (f"{drop_mm(float(reading.value), at):.0f} mm at {at:g} m" for at in electrics().wall_m)
    return f"On a wall the cut-off is {' and '.join(drops)} below the lamp's centre"


def _open(reading: Reading, *words: str) -> Verdict:
    head = f"{place_of(reading)} dip {reading.value:g}%"
    return Verdict(item=reading.key, grade=Grade.UNGRADED, basis=Basis.NONE, message=sentence(head, *words))
