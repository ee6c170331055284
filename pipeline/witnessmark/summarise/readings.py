"""The table of readings: each figure, its limit, whose limit that is, and the figure of last time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.judged import Facts, Measured
from witnessmark.summarise.limits import about, into, limit_of
from witnessmark.summarise.page import Figure, LimitLine, ReadingRow, Scale, Section
from witnessmark.summarise.scale import Readings, scale_of
from witnessmark.summarise.told import quantity_name
from witnessmark.summarise.words import (
    SPOTS,
    amount,
    capital,
    limit_beside,
    limit_text,
    name_of,
    reading_text,
    source_text,
    unique,
    written,
)
from witnessmark.types import Basis, Grade, Limit, PastReading, Reading, Verdict, Walkround


def readings_table(
    words: PlainWords, facts: Facts, past: Sequence[PastReading], walkround: Walkround
) -> Section[ReadingRow]:
    """One row for each quantity of each part, in the order of the vocabulary."""
    rows: dict[tuple[object, ...], list[Measured]] = {}
    for one in facts.readings:
        rows.setdefault((*one.reading.place, one.reading.quantity), []).append(one)
    ordered = sorted(rows.values(), key=lambda row: _order(words, row[0].reading))
    head = words.sections["readings"]
    items = tuple(_row(words, row, last_time(row[0].reading, past, walkround)) for row in ordered)
    return Section(id="readings", heading=head.heading, holds=head.holds, items=items)


def _order(words: PlainWords, reading: Reading) -> tuple[int, int]:
    parts = list(words.vocabulary.components)
    rank = parts.index(reading.component) if reading.component in parts else len(parts)
    return rank, SPOTS.index((reading.end, reading.side))


def last_time(reading: Reading, past: Sequence[PastReading], walkround: Walkround) -> list[PastReading]:
    """The readings of the same quantity at the same place at the latest inspection before this one."""
    same = [
        one
        for one in past
        if (one.reading.place, one.reading.quantity) == (reading.place, reading.quantity)
        and one.walkround != walkround.id
        and one.on <= walkround.on
    ]
    latest = max(same, key=lambda one: one.on, default=None)
    return [one for one in same if latest and (one.on, one.walkround) == (latest.on, latest.walkround)]


def _row(words: PlainWords, row: list[Measured], last: list[PastReading]) -> ReadingRow:
    reading = row[0].reading
    return ReadingRow(
        part=capital(name_of(words, reading.component, [(reading.end, reading.side)])),
        quantity=capital(quantity_name(words, reading)),
        figures=tuple(_figure(words, one, row) for one in row),
        limits=unique_limits(words, row),
        last=capital(_last_text(words, last)),
        scale=_scale(words, row, last),
    )


def _figure(words: PlainWords, one: Measured, row: list[Measured]) -> Figure:
    text = capital(reading_text(words, one.reading))
    if len({other.reading.phase for other in row}) > 1:
        text = f"{text} {words.phrases['as_' + one.reading.phase]}"
    grade = one.judged.grade
    return Figure(
        text=text,
        beside=_beside(words, one.reading),
        label=words.grades[grade].label,
        grave=grade in (Grade.DANGEROUS, Grade.MAJOR),
    )


def _beside(words: PlainWords, reading: Reading) -> str:
    """``about 2.3 bar`` for what was read in psi where people go by bar; the reading stays as it is."""
    usual = words.units_here.get(reading.quantity)
    if usual in (None, reading.unit) or isinstance(reading.value, str):
        return ""
    value = into(reading.value, reading.unit, usual)
    rounded = None if value is None else amount(words, float(f"{value:.3g}"), usual)
    return words.paper.values["about_here"].format(value=rounded) if rounded else ""


def unique_limits(words: PlainWords, row: list[Measured]) -> tuple[LimitLine, ...]:
    """Every rule that the row's readings were held against, each once."""
    lines = [_limit_line(words, one.reading, verdict) for one in row for verdict in _bounded(one)]
    return tuple(dict.fromkeys(lines))


def _bounded(one: Measured) -> Iterable[Verdict]:
    """Verdicts of a rule; a limit said with the reading counts even where no verdict took it up."""
    verdicts = [verdict for verdict in one.judged.verdicts if verdict.basis is not Basis.NONE]
    said = one.reading.limit
    if said is not None and all(verdict.limit != said for verdict in verdicts):
        spoken = Verdict(item=one.reading.key, grade=Grade.UNGRADED, basis=Basis.SAID, sureness="said",
                         limit=said, unit=one.reading.unit)  # fmt: skip
        verdicts.append(spoken)
    return verdicts


def _limit_line(words: PlainWords, reading: Reading, verdict: Verdict) -> LimitLine:
    text = limit_beside(words, verdict.limit or Limit(), verdict.unit or reading.unit, reading.unit)
    return LimitLine(
        text=capital(text),
        whose=words.bases[verdict.basis].name,
        source=source_text(words, verdict),
        sure=words.sureness[verdict.sureness],
    )


def _last_text(words: PlainWords, last: list[PastReading]) -> str:
    if not last:
        return ""
    phases = {one.reading.phase: reading_text(words, one.reading) for one in last}
    on = written(words, last[0].on)
    if len(phases) == 2:
        return words.phrases["last_time_set"].format(value=phases["found"], left=phases["left"], date=on)
    return words.phrases["last_time"].format(value=next(iter(phases.values())), date=on)


def _scale(words: PlainWords, row: list[Measured], last: list[PastReading]) -> Scale | None:
    """A drawing where there is one figure now, a limit and a unit that they share."""
    found = [one for one in row if one.reading.phase == "found"]
    left = [one for one in row if one.reading.phase == "left"]
    if len(found) > 1 or len(left) > 1:
        return None
    now = (left or found)[0].reading
    limit = _drawn_limit([*left, *found], now)
    if limit is None or isinstance(now.value, str):
        return None
    before = _value_in(found[0].reading, now.unit) if left and found else None
    past = _value_in(last[-1].reading, now.unit) if last else None
    says = "; ".join(
        unique((f"{reading_text(words, now)}", limit_text(words, limit, now.unit), _last_text(words, last)))
    )
    return scale_of(words, Readings(now.value, before, past), limit, now.unit, says)


def _drawn_limit(row: list[Measured], now: Reading) -> Limit | None:
    """Of the limits that decided, the one that takes precedence, in the unit of the reading drawn."""
    deciding = [(one.reading, verdict) for one in row for verdict in list(_bounded(one))[:1]]
    order = list(Basis)
    for reading, verdict in sorted(deciding, key=lambda pair: order.index(pair[1].basis)):
        unit = verdict.unit or reading.unit
        limit = limit_of(now, verdict.model_copy(update={"unit": unit}))
        if limit is not None:
            return limit if unit == now.unit else about(limit)
    return None


def _value_in(reading: Reading, unit: str | None) -> float | None:
    return into(reading.value, reading.unit, unit) if not isinstance(reading.value, str) else None
