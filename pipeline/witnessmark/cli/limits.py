"""``witnessmark limits``: the declared limits with their sources."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import AsJson, Jurisdiction
from witnessmark.cli.output import note, print_json

if TYPE_CHECKING:
    from witnessmark.cli.limits_rows import Line

EPILOG = """\b
Examples:
  witnessmark limits
  witnessmark limits tyre --jurisdiction DE
  witnessmark limits "brake pads"
  witnessmark limits battery --json
"""


def limits(
    component: Annotated[
        str | None,
        typer.Argument(
            metavar="COMPONENT",
            show_default=False,
            help='A part or a group as it is called, such as tyre, "brake pads" or brakes. Without it, all.',
        ),
    ] = None,
    jurisdiction: Jurisdiction = None,
    as_json: AsJson = False,
    markdown: Annotated[
        bool, typer.Option("--markdown", help="Print the page docs/limits.md: every limit and every table.")
    ] = False,
) -> None:
    """The limits that readings are held against, each with its source and how sure that is.

    With a country, only what holds there: its own law, that of the union it belongs to, and common practice.
    A limit stamped on the part and the maker's figure on a machine card go before all of these.
    """
    from witnessmark.cli.limits_rows import lines

    if markdown:
        from witnessmark.cli.limits_page import page

        print(page(), end="")
        return
    rows = lines(_meant(component), _known(jurisdiction))
    if as_json:
        print_json([row._asdict() for row in rows])
    elif rows:
        _tell(rows)
    else:
        note("No limit is declared for it here; such a reading is stated and not judged.")


def _meant(component: str | None) -> list[str]:
    from witnessmark.cli.limits_rows import named, with_limits

    found = named(component) if component else []
    if component and not found:
        raise typer.BadParameter(
            f"{component!r} is no part of the vocabulary. Parts with limits: {', '.join(with_limits())}.",
            param_hint="COMPONENT",
        )
    return found


def _known(jurisdiction: str | None) -> str | None:
    from witnessmark.knowledge.limits import jurisdictions, rules

    if jurisdiction and not rules(jurisdiction).chain:
        known = ", ".join(code for code in sorted(jurisdictions()) if code != "generic")
        raise typer.BadParameter(
            f"{jurisdiction!r} is not declared. Known: {known}.", param_hint="--jurisdiction"
        )
    return jurisdiction


def _tell(rows: list[Line]) -> None:
    from rich.box import HORIZONTALS
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=HORIZONTALS, show_edge=False, pad_edge=False, header_style="bold", leading=1)
    for name in ("Reading", "Where, which machine", "Limit", "Rests on", "Source"):
        table.add_column(name, overflow="fold")
    for row in rows:
        cells = (
            f"{row.part}: {row.quantity}",
            "\n".join(filter(None, (row.where, row.machine))),
            row.limit,
            "\n".join(filter(None, (row.basis, row.broken and f"broken: {row.broken}"))),
            f"{row.source}\n({row.sureness})",
        )
        table.add_row(*map(Text, cells))
    Console().print(table)
    print("The stamp on the part and the maker's figure go first. A legal minimum is a floor, not advice.")
