"""What a machine's history says of the time to come, for the terminal and for programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from witnessmark.types import Basis, DueWork, Forecast, Grade, Limit
from witnessmark.units import text_of

if TYPE_CHECKING:
    from rich.table import Table

    from witnessmark.record import History, Store
    from witnessmark.summarise import Outlook, Summary


def pages(record: Store, found: History) -> dict[str, Summary]:
    """The owner's page of each visit, as values: its verdict is the machine's standing on that day."""
    from witnessmark import run
    from witnessmark.review import apply

    return {
        visit.walkround: run.summary(apply(record.walkround(visit.walkround)), found)
        for visit in found.visits
    }


def outlook(found: History) -> Outlook:
    """Forecasts by the whole history, which is not empty."""
    from witnessmark import run

    known = run.outlook(found, found.visits[-1].on)
    assert known is not None
    return known


def table_of(known: Outlook) -> Table:
    """One row a worn part, soonest first, with how it was reckoned."""
    from rich.text import Text

    from witnessmark.cli.tables import new_table
    from witnessmark.review.wording import printable

    table = new_table("Part", "Readings", "Wear", "Limit", "At its limit")
    for one in known.forecasts:
        cells = [_part(one)], [_readings(one)], [_rate(one)], _limit(one), _at(one)
        table.add_row(*(Text("\n".join(map(printable, lines))) for lines in cells))
    return table


def _part(one: Forecast) -> str:
    from witnessmark.knowledge.vocabulary import vocabulary

    words = vocabulary()
    name = " ".join(filter(None, (one.end, one.side, words.components[one.component].name)))
    return f"{name}: {words.quantities[one.quantity][1]}"


def _readings(one: Forecast) -> str:
    told = [text_of(r.reading.value, r.reading.unit) for r in one.readings]
    since = f"new on {one.renewed}: " if one.renewed else ""
    return f"{since}{', '.join(told) or 'none'}"


def _rate(one: Forecast) -> str:
    if one.rate is None:
        return ""
    value, low, high = (f"{number:.2g}" for number in (one.rate.value, one.rate.low, one.rate.high))
    return f"{value} {one.unit} per 1,000 {one.clock} ({low} to {high})"


def _limit(one: Forecast) -> Iterator[str]:
    """The limit, whose it is, and where that comes from."""
    if one.verdict is None or one.verdict.limit is None:
        return
    yield f"{_bounds(one.verdict.limit, one.verdict.unit)}, {one.verdict.basis}"
    if one.verdict.source and one.verdict.basis is not Basis.SAID:
        yield f"{one.verdict.source} ({one.verdict.sureness})"


def _bounds(limit: Limit, unit: str | None) -> str:
    parts = [("at least", limit.low), ("at most", limit.high), ("", limit.target)]
    return ", ".join(f"{word} {text_of(bound, unit)}".strip() for word, bound in parts if bound is not None)


def _at(one: Forecast) -> Iterator[str]:
    from witnessmark.summarise.ahead import ceil_to, floor_to, round_to

    if one.state == "reached":
        advised = one.verdict is not None and one.verdict.grade is Grade.ADVISORY
        yield "advice reached; plan it" if advised else "reached; do not wait"
    if one.state == "far" and one.not_before is not None:
        yield f"not before {floor_to(one.not_before):,} {one.clock}"
    if one.at is not None:
        bounds = f"{floor_to(one.at.low):,} to {ceil_to(one.at.high):,}"
        yield f"about {round_to(one.at.value):,} {one.clock} ({bounds})"
    if one.day is not None:
        yield f"about {one.day.value:%Y-%m} ({one.day.low:%Y-%m} to {one.day.high:%Y-%m})"
    if one.reason:
        yield one.reason


def due_table(known: Outlook) -> Table:
    """One row an interval of the machine card: when the work was last done and when it is due."""
    from witnessmark.cli.tables import add_row, new_table
    from witnessmark.knowledge.vocabulary import vocabulary

    words = vocabulary()
    table = new_table("Work by the machine card", "Last confirmed", "Due")
    for one in known.due:
        name = f"{words.components[one.component].name}: {words.actions[one.work]}"
        add_row(table, name, _done(one), _due(one))
    return table


def _done(one: DueWork) -> str:
    if one.done is None:
        return "not in this record"
    clock = one.done.odometer
    return f"{one.done.on}{f' at {text_of(clock.value, clock.unit)}' if clock else ''}"


def _due(one: DueWork) -> str:
    from witnessmark.summarise.ahead import round_to

    if one.done is None:
        return "not known; ask when it was last done"
    way = f"at {round_to(one.at):,} {one.clock}" if one.at is not None else ""
    told = " or ".join(filter(None, (way, f"on {one.on}" if one.on else "")))
    return f"{told}{', overdue' if one.overdue else ''}" or "the distance then was not confirmed"


def plain(known: Outlook) -> dict[str, Any]:
    """Forecasts, work due and the next inspection, for a program."""
    return {
        "forecasts": [one.model_dump(mode="json") for one in known.forecasts],
        "due": [one.model_dump(mode="json") for one in known.due],
        "next_look": known.look.model_dump(mode="json"),
    }
