"""``witnessmark history``: everything confirmed of one machine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from witnessmark.cli.options import AsJson, StorePath, opened
from witnessmark.cli.output import print_json
from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from witnessmark.record import Entered, History
    from witnessmark.summarise import Outlook, Summary

EPILOG = """\b
Examples:
  witnessmark history "KX21 WPT"
  witnessmark history KX21WPT --json
"""


def history(
    machine: Annotated[
        str,
        typer.Argument(
            metavar="MACHINE", show_default=False, help="Registration or VIN; case and spaces do not matter."
        ),
    ],
    store: StorePath = None,
    as_json: AsJson = False,
) -> None:
    """Show everything confirmed of a machine: visits, readings by date, and when parts may reach limits.

    A forecast rests on confirmed readings of the same part since it was replaced. It is an estimate; where
    the readings bear none, the reason is told. What was never mentioned on a visit is not in order for that.
    """
    from witnessmark.cli.outlook import outlook, plain
    from witnessmark.run import pages

    with opened(store) as record:
        found = record.history(machine)
        days = pages(record, found)
    if not found.visits:
        raise StoreError(
            "the record has no confirmed walkround of this machine.",
            machine,
            "`witnessmark review --list` shows which walkrounds there are.",
        )
    known = outlook(found)
    if as_json:
        print_json({**_plain(found, days), **plain(known)})
        return
    _show(found, days, known)


def _show(found: History, days: dict[str, Summary], known: Outlook) -> None:
    from rich.console import Console
    from rich.text import Text

    from witnessmark.cli import tables
    from witnessmark.cli.outlook import due_table, table_of
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.knowledge.standing import standings
    from witnessmark.summarise.ahead import look_again

    console = Console()
    console.print(tables.visits(found, {id: _standing(page) for id, page in days.items()}))
    console.print()
    console.print(tables.readings(found))
    if known.forecasts:
        console.print(Text(f"\n{known.rules.words['heading']}\n", "bold"))
        console.print(table_of(known))
        console.print(Text(known.rules.words["holds"]))
    if known.due:
        console.print()
        console.print(due_table(known))
    console.print(Text(f"\n{' '.join(look_again(plain_words(), known))}"))
    console.print(Text(standings().note))


def _standing(page: Summary) -> tuple[str, ...]:
    """What the visit came to, and what made it so."""
    from witnessmark.knowledge.standing import standings

    return standings().level(page.urgency).name, *(f"– {text}" for text in page.because)


def _plain(found: History, days: dict[str, Summary]) -> dict[str, Any]:
    from witnessmark.run import covered

    return {
        "asked": found.asked,
        "visits": [
            {
                "walkround": visit.walkround,
                "on": visit.on.isoformat(),
                "machine": visit.machine.model_dump(mode="json"),
                "standing": days[visit.walkround].urgency,
                "because": list(days[visit.walkround].because),
                "never_mentioned": list(visit.never_mentioned),
                "coverage": [part._asdict() for part in covered(visit)],
                "entered": [_entry(entered) for entered in visit.entered],
            }
            for visit in found.visits
        ],
    }


def _entry(entered: Entered) -> dict[str, Any]:
    return {
        "item": entered.item.model_dump(mode="json"),
        "drafted": entered.drafted.model_dump(mode="json") if entered.drafted else None,
        "heard": entered.heard,
        "decision": entered.decision.model_dump(mode="json", exclude={"becomes", "walkround", "item"}),
        "verdict": entered.verdict.model_dump(mode="json") if entered.verdict else None,
    }
