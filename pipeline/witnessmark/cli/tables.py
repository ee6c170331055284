"""Tables for the terminal. Grades are words; no colour carries a meaning."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from witnessmark.review import MACHINE
from witnessmark.review.wording import gaps, is_amiss, measured, part, printable, says
from witnessmark.types import Action, Assessment, DecisionKind, Finding, Grade, Reading, Walkround
from witnessmark.units import text_of

if TYPE_CHECKING:
    from rich.table import Table

    from witnessmark.record import History, Summary, Visit

_ORDER = {grade: place for place, grade in enumerate(Grade)}


def findings(assessment: Assessment) -> Table:
    """Every finding with its grade, the reason for it and its doubts, gravest first; then the jobs."""
    table = new_table("What was heard", "Grade", "Because", "Doubts")
    draft = assessment.draft
    for item in sorted(draft.findings, key=lambda item: _ORDER[_grade(assessment, item)]):
        grade, verdicts = _grade(assessment, item), assessment.verdicts_of(item.key)
        told = verdicts[0].message.split(": ", 1)[-1] if verdicts else ""
        add_row(
            table,
            says(item),
            grade.value.replace("_", " "),
            told,
            _doubts(item),
            bold=grade is Grade.DANGEROUS,
        )
    for action in draft.actions:
        add_row(table, says(action), "job", "", _doubts(action))
    return table


def changes(reviewed: Iterable[Walkround]) -> Table:
    """What a reviewer did not simply confirm, with the reasons."""
    table = new_table("Inspected", "Decision", "Drafted", "Recorded", "Reason")
    for walkround in reviewed:
        draft = walkround.draft
        drafted = {item.key: says(item) for item in (*draft.findings, *draft.actions)}
        drafted[MACHINE] = says(draft.machine)
        for made in (d for d in walkround.decisions if d.kind is not DecisionKind.CONFIRM):
            now = says(made.becomes) if made.becomes else ""
            add_row(table, str(walkround.on), made.kind.value, drafted.get(made.item, ""), now, made.why)
    return table


def walkrounds(rows: Iterable[Summary]) -> Table:
    """One row a walkround."""
    table = new_table("Walkround", "Inspected", "Machine", "Waiting", "Decided")
    for row in rows:
        unsure = "" if row.identity_confirmed else " (not confirmed)"
        machine = f"{row.registration or 'no registration'}{unsure}"
        add_row(table, row.id, str(row.on), machine, str(row.waiting), str(row.decided))
    return table


def visits(history: History, standings: Mapping[str, Iterable[str]]) -> Table:
    """The visits of a machine, oldest first: what each came to, what was amiss, done, and not looked at.

    Args:
        history: of the machine.
        standings: walkround → what it came to, line by line.
    """
    table = new_table("Inspected", "Odometer", "Came to", "Found", "Jobs", "Not looked at", "Confirmed by")
    table.leading = 1
    for visit in history.visits:
        clock = visit.machine.odometer
        table.add_row(
            f"{visit.on}\n{visit.walkround}",
            text_of(clock.value, clock.unit) if clock else "",
            "\n".join(map(printable, standings.get(visit.walkround, ()))),
            "\n".join(_amiss(visit)),
            "\n".join(printable(says(e.item)) for e in visit.entered if isinstance(e.item, Action)),
            "\n".join(_not_looked_at(visit)),
            "\n".join(dict.fromkeys(printable(e.decision.who) for e in visit.entered)),
        )
    return table


def readings(history: History) -> Table:
    """Each reading of a machine through its visits: a row a place and quantity, a column a day."""
    table = new_table("Reading", *(str(visit.on) for visit in history.visits))
    rows: dict[str, list[list[str]]] = {}
    for column, visit in enumerate(history.visits):
        for item in (entered.item for entered in visit.entered if isinstance(entered.item, Reading)):
            cells = rows.setdefault(measured(item), [[] for _ in history.visits])
            cells[column].append(text_of(item.value, item.unit))
    for name in sorted(rows):
        add_row(table, name, *(", ".join(cell) for cell in rows[name]))
    return table


def _amiss(visit: Visit) -> list[str]:
    """What was found and is not in order; what was only looked at is left out."""
    items = (entered.item for entered in visit.entered if isinstance(entered.item, Finding))
    return [printable(says(item)) for item in items if is_amiss(item)]


def _not_looked_at(visit: Visit) -> list[str]:
    """Parts that could not be seen, then those never mentioned."""
    items = (entered.item for entered in visit.entered if isinstance(entered.item, Finding))
    unseen = [printable(part(item)) for item in items if item.state == "unseen"]
    return [f"{name} (unseen)" for name in unseen] + gaps(visit.never_mentioned)


def new_table(*columns: str) -> Table:
    """An empty table with these columns."""
    from rich.box import HORIZONTALS
    from rich.table import Table

    return Table(*columns, box=HORIZONTALS, show_edge=False, pad_edge=False, header_style="bold")


def add_row(table: Table, *cells: str, bold: bool = False) -> None:
    """One row; what comes from a recording is never read as markup."""
    from rich.text import Text

    table.add_row(*(Text(printable(cell)) for cell in cells), style="bold" if bold else None)


def _grade(assessment: Assessment, item: Finding | Reading) -> Grade:
    verdicts = assessment.verdicts_of(item.key)
    return verdicts[0].grade if verdicts else Grade.UNGRADED


def _doubts(item: Finding | Reading | Action) -> str:
    return " ".join(doubt.message for doubt in item.doubts)
