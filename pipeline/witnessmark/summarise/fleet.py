"""The fleet letter: which machines may not go out, what is due this month, what costs most; a table."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from io import StringIO

from witnessmark.knowledge.plain import PlainWords
from witnessmark.knowledge.prices import Prices
from witnessmark.knowledge.standing import standings
from witnessmark.summarise.ahead import distance, floor_to
from witnessmark.summarise.answers import place_name
from witnessmark.summarise.convoy import FleetLetter, FleetLine, FleetRow, FleetSection, Standing
from witnessmark.summarise.estimate import money_span
from witnessmark.summarise.verdict import BEFORE_RIDING
from witnessmark.summarise.words import capital, distance_text, isolated, month, unique, written

COLUMNS = (
    "machine", "last_seen", "distance", "distance_unit", "standing", "mostly_unseen", "dangerous", "major",
    "minor", "advisory", "waiting", "look_again_on", "look_again_distance", "look_again_unit", "do_not_wait",
    "work_overdue", "cost_low", "cost_high", "currency", "without_price",
)  # fmt: skip


def fleet(
    machines: Sequence[Standing],
    plain: PlainWords,
    made_on: date,
    prices: Prices | None = None,
    left_out: Sequence[tuple[str, str]] = (),
) -> FleetLetter:
    """The letter.

    Args:
        machines: each at its last inspection.
        plain: the plain words, in the country of the owner.
        made_on: day of the letter; its month is the one that things fall due in.
        prices: those by which the costs were reckoned, if any.
        left_out: machines that cannot be told of, and why.
    """
    says = plain.paper.fleet
    when = month(plain, made_on)
    told = says["told_one" if len(machines) == 1 else "told"].format(n=len(machines))
    return FleetLetter(
        language=plain.locale.replace("_", "-"),
        labels={**plain.paper.labels, **says},
        title=says["title"].format(month=when),
        heading=says["head"].format(month=when),
        made=written(plain, made_on),
        told=told,
        left_out=tuple(says["unreadable"].format(machine=isolated(name), why=why) for name, why in left_out),
        sections=(
            _section(plain, "stop", _grounded(machines)),
            _section(plain, "due", _due(plain, machines, made_on)),
            _section(
                plain, "cost", _costly(plain, machines, prices), "cost_nothing" if prices else "cost_none"
            ),
        ),
        rows=tuple(_row(plain, one, prices) for one in sorted(machines, key=_gravity)),
        priced=prices is not None,
        cautions=(says["caution_seen"], says["caution_manual"]),
    )


def _section(words: PlainWords, id: str, items: Iterable[FleetLine], none: str = "") -> FleetSection:
    says = words.paper.fleet
    return FleetSection.model_validate(
        {
            "id": id,
            "heading": says[id],
            "holds": says[f"{id}_holds"],
            "none": says[none or f"{id}_none"],
            "items": tuple(items),
        }
    )


def _gravity(one: Standing) -> tuple[int, str]:
    levels = [level.id for level in standings().levels]
    return levels.index(one.urgency), one.name


def _grounded(machines: Sequence[Standing]) -> Iterator[FleetLine]:
    """Those with something to be put right before riding, dangerous ones first, with what was found."""
    for one in sorted(machines, key=_gravity):
        if one.urgency in BEFORE_RIDING:
            yield FleetLine(machine=one.name, lines=one.because)


def _due(words: PlainWords, machines: Sequence[Standing], made_on: date) -> Iterator[FleetLine]:
    """Soonest first."""
    falling = [one for one in machines if _falls_due(one, made_on)]
    for one in sorted(falling, key=lambda one: (one.look.on or date.max, one.name)):
        yield FleetLine(machine=one.name, text=_by(words, one, made_on), lines=tuple(_wanted(words, one)))


def _falls_due(one: Standing, made_on: date) -> bool:
    """By the end of the month, or already."""
    soon = one.look.on is not None and (one.look.on.year, one.look.on.month) <= (made_on.year, made_on.month)
    return soon or one.look.now or any(work.overdue for work in one.due)


def _by(words: PlainWords, one: Standing, made_on: date) -> str:
    says = words.paper.fleet
    if one.look.on is None:
        return ""
    if one.look.on < made_on:
        return says["overdue"].format(day=written(words, one.look.on))
    return says["at_once" if one.look.now else "by_day"].format(day=written(words, one.look.on))


def _wanted(words: PlainWords, one: Standing) -> Iterator[str]:
    """Parts at their limit, and work of the machine card whose time has passed."""
    says = words.paper.fleet
    if one.look.now:
        for part in unique(who for who in one.look.because if who.partition(":")[0] in words.components):
            yield says["now_line"].format(part=place_name(words, part.replace(" ", ":")))
    for work in one.due:
        if work.overdue:
            name = capital(words.part(work.component).one)
            yield says["work_overdue"].format(part=name, work=words.paper.work.get(work.work, says["seen"]))


def _costly(words: PlainWords, machines: Sequence[Standing], prices: Prices | None) -> Iterator[FleetLine]:
    """Dearest first, by what it may come to at most."""
    priced = [one for one in machines if one.cost and (one.cost.gross.high or one.cost.unpriced)]
    for one in sorted(priced, key=lambda one: one.cost.gross.high if one.cost else 0, reverse=True):
        yield FleetLine(machine=one.name, text=_cost(words, one, prices))


def _cost(words: PlainWords, one: Standing, prices: Prices | None) -> str:
    """``£174.22, and 2 without a price``."""
    if one.cost is None or prices is None:
        return ""
    says, left = words.paper.fleet, one.cost.unpriced
    told = money_span(words, prices, one.cost.gross) if one.cost.gross.high else ""
    if left:
        return says["unpriced" if told else "only_unpriced"].format(sum=told, n=left)
    return told


def _row(words: PlainWords, one: Standing, prices: Prices | None) -> FleetRow:
    says, look = words.paper.fleet, one.look
    standing = [says[f"level_{one.urgency}"]]
    standing += [says["little"]] if one.little else []
    standing += [says["waiting"]] if one.waiting and one.urgency != "open" else []
    at = distance(words, floor_to(look.at), look.clock) if look.at is not None else ""
    then = ", ".join(filter(None, (written(words, look.on) if look.on else "", at)))
    return FleetRow(
        machine=one.name,
        seen=written(words, one.seen),
        distance=distance_text(words, one.odometer) if one.odometer else "",
        standing=", ".join(standing),
        urgency=one.urgency,
        next=says["next_then"].format(next=then) if then and one.urgency in BEFORE_RIDING else then,
        cost=_cost(words, one, prices),
    )


def table(machines: Sequence[Standing], prices: Prices | None = None) -> str:
    """The same as CSV (RFC 4180) for a spreadsheet: plain numbers, ISO dates, one row a machine.

    A name that a spreadsheet would reckon as a formula has an apostrophe before it.
    """
    out = StringIO()
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    for one in sorted(machines, key=_gravity):
        writer.writerow(_cells(one, prices))
    return out.getvalue()


def _cells(one: Standing, prices: Prices | None) -> dict[str, object]:
    clock, look, cost = one.odometer, one.look, one.cost
    known = cost is not None and (cost.gross.high or not cost.unpriced)
    return {
        "machine": f"'{one.name}" if one.name[:1] in "=+-@\t\r" else one.name,
        "last_seen": one.seen,
        "distance": f"{clock.value:.10g}" if clock else "",
        "distance_unit": clock.unit if clock else "",
        "standing": one.urgency,
        "mostly_unseen": "yes" if one.little else "no",
        **one.counts,
        "waiting": one.waiting,
        "look_again_on": look.on or "",
        "look_again_distance": floor_to(look.at) if look.at is not None else "",
        "look_again_unit": look.clock if look.at is not None else "",
        "do_not_wait": "yes" if look.now else "no",
        "work_overdue": " ".join(work.interval for work in one.due if work.overdue),
        "cost_low": cost.gross.low if cost and known else "",
        "cost_high": cost.gross.high if cost and known else "",
        "currency": prices.currency if cost and prices else "",
        "without_price": cost.unpriced if cost else "",
    }
