"""``witnessmark card``: the figures of single models of machine, and the workshop's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import AsJson
from witnessmark.cli.output import note, print_json, write_whole
from witnessmark.errors import BadInputError, KnowledgeError

if TYPE_CHECKING:
    from rich.table import Table
    from rich.text import Text

    from witnessmark.knowledge.card_gaps import Gap
    from witnessmark.knowledge.cards import CardFigure, Interval, MachineCard, Marking

NEW_EPILOG = """\b
Examples:
  witnessmark card new "KX21 WPT" --like naked-chain
  witnessmark card new "KX21 WPT" --like scooter-belt --name "Larkspur 125" --source "handbook, 2021 edition"
"""
CHECK_EPILOG = """\b
Examples:
  witnessmark card check
  witnessmark card check kx21wpt.yaml

Exit status: 0 when all cards are in order, though not filled in; 5 when one is not.
"""
SHOW_EPILOG = """\b
Examples:
  witnessmark card show
  witnessmark card show "KX21 WPT"
  witnessmark card show scooter-belt --json
"""


def new(
    registration: Annotated[
        str, typer.Argument(metavar="REGISTRATION", show_default=False, help="Of the machine.")
    ],
    like: Annotated[
        str,
        typer.Option(
            "--like", metavar="CARD", help="A card built the same; `witnessmark card show` lists them."
        ),
    ] = "",
    name: Annotated[str, typer.Option("--name", metavar="TEXT", help="The model, as spoken.")] = "",
    source: Annotated[
        str, typer.Option("--source", metavar="TEXT", help="Where its figures will come from.")
    ] = "handbook",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="By default in the workshop's own folder.")
    ] = None,
) -> None:
    """Write a machine card to fill in from the handbook.

    It says how the machine is built and what to look up. No figure counts before you have put the maker's
    into its row and taken the # away. For a second machine of the same model, add its registration to the
    card of the first.
    """
    from witnessmark.knowledge.card_form import card_text
    from witnessmark.knowledge.cards import card_for, card_named, own_folder, plain

    if not plain(registration):
        raise BadInputError("is no registration: it has no letter or digit.", repr(registration), "Give it.")
    if not like:
        raise BadInputError(
            "--like is missing.", None, f"Name a card built the same: {', '.join(_classes())}."
        )
    model = card_named(like)
    if there := card_for(registration):
        remedy = f"`witnessmark card show {there.id}` shows it."
        raise BadInputError(f"has a card already, {there.id}.", registration, remedy)
    target = out or own_folder() / f"{plain(registration).lower()}.yaml"
    if target.exists():
        raise BadInputError("is there already.", str(target), "Name another file, or remove it.")
    if out is None:
        _make(target.parent)
    write_whole(card_text(registration, name or model.name, source, model), target)
    print(target)
    note("No figure counts yet: open it, fill in, and run `witnessmark card check`.")


def _classes() -> list[str]:
    from witnessmark.knowledge.cards import all_cards

    return [card.id for card in all_cards() if card.kind == "class"]


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInputError(
            f"the folder cannot be made ({error.strerror}).", str(folder), "Set WITNESSMARK_CARDS to another."
        ) from error


def check(
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[FILE...]",
            show_default=False,
            help="Cards. By default the workshop's own and all others.",
        ),
    ] = None,
) -> None:
    """Say what is wrong with machine cards: keys, units, impossible figures, contradictions, twins."""
    from witnessmark.knowledge.card_checks import read
    from witnessmark.knowledge.cards import card_files, where_of

    known = {path: read(path) for path in card_files()}
    wrong = 0
    for path in files or known:
        if not path.exists():
            raise BadInputError(
                "there is no such file.", str(path), "`witnessmark card show` lists the cards."
            )
        card, faults = known.get(path) or read(path)
        others = {other: found for other, (found, _) in known.items() if found and not other.samefile(path)}
        faults = (*faults, *(_twins(card, others) if card else ()))
        wrong += bool(faults)
        for fault in faults:
            note(f"{where_of(path)}: {fault}.")
        if card and not faults:
            print(_well(card))
    if wrong:
        what = f"{wrong} machine card{'s are' if wrong > 1 else ' is'} not in order."
        remedy = "Mend what is named above; the head of larkspur-400.yaml explains the keys."
        raise KnowledgeError(what, None, remedy)


def _twins(card: MachineCard, others: dict[Path, MachineCard]) -> Iterator[str]:
    """What the card shares with another and may not."""
    from witnessmark.knowledge.cards import plain

    marks = {plain(mark) for mark in card.registrations}
    for path, other in others.items():
        if other.id == card.id:
            yield f"the id {card.id} is that of {path.name}, too"
        for mark in sorted(marks & {plain(mark) for mark in other.registrations}):
            yield f"the registration {mark} is on the card {path.name}, too; take it off one"


def _well(card: MachineCard) -> str:
    from witnessmark.knowledge.card_gaps import not_filled_in

    counts = f"figures {len(card.figures)}, markings {len(card.markings)}, intervals {len(card.intervals)}"
    missing = dict.fromkeys(_missing(gap) for gap in not_filled_in(card)) if card.kind == "model" else {}
    return "\n".join((f"{card.id}: in order; {counts}", *(f"  not filled in: {text}" for text in missing)))


def _missing(gap: Gap) -> str:
    from witnessmark.knowledge.vocabulary import vocabulary

    component, quantity = getattr(gap.row, "component", None), getattr(gap.row, "quantity", None)
    name = _part(component) if component else gap.row.id
    what = vocabulary().quantities[quantity][1] if quantity else ""
    return f"{' '.join(filter(None, (gap.end, name, what)))} ({gap.row.asks})"


def _part(component: str) -> str:
    from witnessmark.knowledge.vocabulary import vocabulary

    return vocabulary().components[component].name


def show(
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="[CARD]", show_default=False, help="Id, registration or file. By default all cards."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show a machine card with where each figure comes from, or list all cards."""
    from witnessmark.knowledge.cards import all_cards, card_named

    if name is None:
        found = all_cards()
        if as_json:
            print_json([card.model_dump(mode="json") for card in found])
            return
        _print(_listed(found))
        return
    card = card_named(name)
    if as_json:
        print_json(card.model_dump(mode="json"))
        return
    _print(_head(card), _rows(card))


def _print(*parts: Table | Text) -> None:
    from rich.console import Console

    console = Console()
    for part in parts:
        console.print(part)


def _listed(found: tuple[MachineCard, ...]) -> Table:
    from witnessmark.cli.tables import add_row, new_table

    listed = new_table("Card", "Name", "Registrations", "Figures")
    for card in found:
        kind = "usual of its class" if card.kind == "class" else str(len(card.figures))
        add_row(listed, card.id, card.name, ", ".join(card.registrations), kind)
    return listed


def _head(card: MachineCard) -> Text:
    from rich.text import Text

    from witnessmark.knowledge.card_form import BUILT

    built = [
        f"{key.replace('_', ' ')} {value.replace('_', '-')}" for key in BUILT if (value := getattr(card, key))
    ]
    lines = [f"{card.name} ({card.id})", ", ".join(built)]
    if card.registrations:
        lines.append(f"for {', '.join(card.registrations)}")
    if card.kind == "class":
        usual = card.usual.model_dump(exclude_none=True)
        lines.append(
            f"usually {', '.join(f'{key} {value}'.replace('_', ' ') for key, value in usual.items())}"
        )
        lines.append("Usual figures of a class. No maker's: they judge nothing and stand in for no handbook.")
    else:
        lines.append("The maker's manual comes before this card.")
    return Text("\n".join((*lines, "")))


def _rows(card: MachineCard) -> Table:
    from witnessmark.cli.tables import add_row, new_table
    from witnessmark.knowledge.card_form import every_text, figure_text
    from witnessmark.knowledge.vocabulary import vocabulary

    shown = new_table("Part", "What", "Figure", "Comes from", "How sure")
    names = vocabulary().quantities
    for figure in card.figures:
        what = f"{names[figure.quantity][1]}{', laden' if figure.laden else ''}"
        add_row(shown, _placed(figure), what, figure_text(figure), _source(figure), figure.sureness)
    for mark in card.markings:
        add_row(shown, _placed(mark), names[mark.quantity][1], mark.text, _source(mark), mark.sureness)
    for one in card.intervals:
        what = "inspection" if one.work == "look" else vocabulary().actions[one.work]
        add_row(shown, _part(one.component), what, every_text(one), _source(one), one.sureness)
    return shown


def _placed(item: CardFigure | Marking) -> str:
    return " ".join(filter(None, (item.end, _part(item.component))))


def _source(item: CardFigure | Marking | Interval) -> str:
    return f"{item.source}. {item.note}" if item.note else item.source
