"""``witnessmark store redraft``: what the archive would be read as today."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from witnessmark.cli.options import AsJson, StorePath, Who, Why, opened
from witnessmark.cli.output import print_json, progress

if TYPE_CHECKING:
    from witnessmark.types import Action as Work
    from witnessmark.types import Assessment, Finding, Reading, Walkround

EPILOG = """\b
Examples:
  witnessmark store redraft --who "A. Smith"
  witnessmark store redraft --who "A. Smith" --replace --why "new words for chains"
"""

_ASIDE = {"confidence", "why", "evidence", "doubts"}
"""What may change in an item without its saying anything else."""


class Change(NamedTuple):
    """One item that would be read otherwise."""

    item: str
    before: str | None
    """What the draft says; None when it has no such item."""
    after: str | None
    decided: bool
    """Whether a reviewer decided on it: then it stays as it is."""


def redraft(
    who: Who,
    replace: Annotated[
        bool, typer.Option("--replace", help="Put the new drafts in place, but for what was decided on.")
    ] = False,
    why: Why = "",
    store: StorePath = None,
    as_json: AsJson = False,
) -> None:
    """Read every talk of the record again with today's words and rules, and show what would change.

    Nothing is replaced without --replace, and nothing that somebody decided on ever is. Each replaced draft
    stands in the trail.
    """
    from witnessmark.record import Keeping

    rows: list[dict[str, Any]] = []
    with opened(store) as record, progress("walkrounds") as bar:
        listed = record.walkrounds()
        for number, row in enumerate(reversed(listed), 1):
            now = record.walkround(row.id)
            new = merged(now, again(now))
            found = [*changes(now, again(now))]
            if found:
                rows.append({"walkround": now.id, "changes": [one._asdict() for one in found]})
            if replace and new != now.assessment:
                Keeping(record, who, why).redraft(now.id, new)
            bar(number, len(listed))
    if as_json:
        print_json(rows)
        return
    for told in rows:
        for one in told["changes"]:
            print(f"{told['walkround']}: {_line(Change(**one))}")
    print(f"{len(rows)} of {len(listed)} walkrounds are read otherwise{'; replaced' if replace else ''}.")


def again(now: Walkround) -> Assessment:
    """The talk of a walkround as it is read and judged today."""
    from witnessmark import run

    return run.walkround(now.transcript, now.on, now.draft.jurisdiction, lambda *_: None).assessment


def merged(now: Walkround, new: Assessment) -> Assessment:
    """Today's reading, with everything that was decided on as it was drafted and judged then."""
    from witnessmark import run
    from witnessmark.review import MACHINE

    decided = {made.item for made in now.decisions}
    old, draft = now.draft, new.draft
    machine = old.machine if MACHINE in decided else draft.machine
    kept = draft.model_copy(
        update={
            "machine": machine,
            "findings": _in_order(old.findings, draft.findings, decided),
            "actions": _in_order(old.actions, draft.actions, decided),
        }
    )
    judged = run.judge(kept, now.on, machine) if decided else new
    settled = tuple(one for one in now.assessment.verdicts if one.item in decided)
    others = tuple(one for one in judged.verdicts if one.item not in decided)
    whole = kept if decided else draft
    return judged.model_copy(update={"draft": whole, "verdicts": (*settled, *others)})


def _in_order(old: tuple[Any, ...], new: tuple[Any, ...], decided: set[str]) -> tuple[Any, ...]:
    """Items in the order of the talk."""
    items = [item for item in old if item.key in decided] + [item for item in new if item.key not in decided]
    return tuple(sorted(items, key=lambda item: min((p.char_start for p in item.evidence), default=0)))


def changes(now: Walkround, new: Assessment) -> list[Change]:
    """What today's reading of a talk says otherwise, in the order of the keys."""
    decided = {made.item for made in now.decisions}
    old, today = _items(now.assessment), _items(new)
    return [
        Change(key, _told(now.assessment, old.get(key)), _told(new, today.get(key)), key in decided)
        for key in sorted(old.keys() | today.keys())
        if _says(now.assessment, old.get(key)) != _says(new, today.get(key))
    ]


def _items(assessment: Assessment) -> dict[str, Finding | Reading | Work]:
    draft = assessment.draft
    return {item.key: item for item in (*draft.findings, *draft.actions)}


def _says(assessment: Assessment, item: Finding | Reading | Work | None) -> object:
    if item is None:
        return None
    return type(item).__name__, item.model_dump(exclude=_ASIDE), _grade(assessment, item.key)


def _told(assessment: Assessment, item: Finding | Reading | Work | None) -> str | None:
    from witnessmark.review.wording import says

    if item is None:
        return None
    grade = _grade(assessment, item.key)
    return f"{says(item)} ({grade})" if grade else says(item)


def _grade(assessment: Assessment, key: str) -> str | None:
    verdicts = assessment.verdicts_of(key)
    return verdicts[0].grade.value if verdicts else None


def _line(change: Change) -> str:
    before, after = change.before or "not read", change.after or "not read"
    stays = "; it was decided on and stays" if change.decided else ""
    return f"{change.item}: {before} → {after}{stays}"
