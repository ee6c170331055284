"""Several defects of one group may be classed more gravely together (Directive 2014/45/EU article 7(3))."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.assess.context import Context
from witnessmark.assess.wording import place_of
from witnessmark.knowledge.severity import TogetherRow
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Finding, Item, Together, Verdict


def together(context: Context, verdicts: Iterable[Verdict]) -> tuple[Together, ...]:
    """What may be classed more gravely, by group in the order of the vocabulary.

    Only the deciding verdict of an item counts, and a part at a place counts once.
    """
    deciding: dict[str, Verdict] = {}
    for verdict in verdicts:
        deciding.setdefault(verdict.item, verdict)
    groups = dict.fromkeys(part.group for part in vocabulary().components.values())
    found = (
        _raised(row, group, context, deciding) for group in groups for row in context.rules.severity.together
    )
    return tuple(one for one in found if one)


def _raised(row: TogetherRow, group: str, context: Context, deciding: dict[str, Verdict]) -> Together | None:
    defects: dict[tuple[object, ...], Item] = {}  # a worn pad and its thickness are one defect
    for item in context.draft.findings:
        part = vocabulary().components.get(item.component)
        verdict = deciding.get(item.key)
        if part and part.group == group and verdict and verdict.grade is row.grade and not _implied(item):
            defects.setdefault(item.place, item)
    if len(defects) < row.least:
        return None
    parts = ", ".join(dict.fromkeys(place_of(item) for item in defects.values()))
    lets = f"{row.source} lets"
    if "EU" not in context.rules.chain:
        lets = f"{row.source}, taken here as common practice, lets"
    return Together(
        group=group,
        grade=row.grade,
        raised=row.raised,
        items=tuple(item.key for item in defects.values()),
        rule=row.id,
        source=row.source,
        sureness=row.sureness,
        message=f"{len(defects)} {row.grade.value} defects of the {group} ({parts}): {lets} them be classed"
        f" {row.raised.value} together if their combined effect raises the risk; a person decides that.",
    )


def _implied(item: Item) -> bool:
    return isinstance(item, Finding) and any(doubt.kind == "implied" for doubt in item.doubts)
