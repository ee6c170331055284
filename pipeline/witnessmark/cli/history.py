"""``witnessmark history``: everything confirmed of one machine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from witnessmark.cli.options import AsJson, StorePath, opened
from witnessmark.cli.output import print_json
from witnessmark.errors import StoreError

if TYPE_CHECKING:
    from witnessmark.record import Entered, History

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
    """Show everything confirmed of a machine: its visits, what was found and done, its readings by date."""
    with opened(store) as record:
        found = record.history(machine)
    if not found.visits:
        raise StoreError(
            "the record has no confirmed walkround of this machine.",
            machine,
            "`witnessmark review --list` shows which walkrounds there are.",
        )
    if as_json:
        print_json(_plain(found))
        return
    from rich.console import Console

    from witnessmark.cli import tables

    console = Console()
    console.print(tables.visits(found))
    console.print()
    console.print(tables.readings(found))


def _plain(found: History) -> dict[str, Any]:
    return {
        "asked": found.asked,
        "visits": [
            {
                "walkround": visit.walkround,
                "on": visit.on.isoformat(),
                "machine": visit.machine.model_dump(mode="json"),
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
