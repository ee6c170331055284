"""What a machine's history says of the time to come, for the terminal and for programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.table import Table

    from witnessmark.record import History
    from witnessmark.summarise import Outlook


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
    from witnessmark.summarise import reckoned

    table = new_table("Part", "Readings", "Wear", "Limit", "At its limit")
    for one in known.forecasts:
        cells = (
            [reckoned.part_of(one)],
            [reckoned.readings_of(one)],
            [reckoned.rate_of(one)],
            reckoned.limit_of(one),
            reckoned.at_limit(one),
        )
        table.add_row(*(Text("\n".join(map(printable, lines))) for lines in cells))
    return table


def due_table(known: Outlook) -> Table:
    """One row an interval of the machine card: when the work was last done and when it is due."""
    from witnessmark.cli.tables import add_row, new_table
    from witnessmark.summarise import reckoned

    table = new_table("Work by the machine card", "Last confirmed", "Due")
    for one in known.due:
        add_row(table, reckoned.work_of(one), reckoned.done_of(one), reckoned.due_of(one))
    return table


def plain(known: Outlook) -> dict[str, Any]:
    """Forecasts, work due and the next inspection, for a program."""
    return {
        "forecasts": [one.model_dump(mode="json") for one in known.forecasts],
        "due": [one.model_dump(mode="json") for one in known.due],
        "next_look": known.look.model_dump(mode="json"),
    }
