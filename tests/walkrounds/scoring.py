"""Holds drafts against gold walkrounds, by the rules in which the gold files are written.

A gold file is JSON: ``id``, ``text``, ``jurisdiction``, ``machine``, ``findings`` (observations with
``condition`` and ``state``; readings with ``quantity``, ``value``, ``unit``, ``limit``, ``phase``) and
``actions``. An observation is right when component, end, side, condition and state are; a reading when place,
quantity and phase are and the values lie within 0.6 % of each other after conversion; an action when place,
kind and status are. Each row of the gold answers for at most one row of the draft.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Draft
from witnessmark.units import convert

Row = dict[str, Any]
Pairs = list[tuple[Row, Row]]

KINDS = ("observations", "readings", "actions")
NEAR = 0.006
"""Two values are the same when they differ by no more than this share of the gold one."""
_HEADER = ("registration", "vin", "odometer")


@dataclass
class Tally:
    """What was right, missed and made up."""

    right: int = 0
    missed: int = 0
    extra: int = 0

    def add(self, other: Tally) -> None:
        self.right += other.right
        self.missed += other.missed
        self.extra += other.extra

    @property
    def precision(self) -> float:
        return self.right / (self.right + self.extra) if self.right + self.extra else 1.0

    @property
    def recall(self) -> float:
        return self.right / (self.right + self.missed) if self.right + self.missed else 1.0

    @property
    def f1(self) -> float:
        return 2 * self.right / (2 * self.right + self.missed + self.extra) if self.right else 0.0


@dataclass
class Score:
    """One walkround, or several added up."""

    walkrounds: int = 0
    tallies: dict[str, Tally] = field(default_factory=lambda: {kind: Tally() for kind in KINDS})
    machine: Tally = field(default_factory=Tally)
    limits: Tally = field(default_factory=Tally)
    safety: list[str] = field(default_factory=list)
    """Defects that the draft calls sound or not there, and of whose part it says nothing worse."""
    errors: list[str] = field(default_factory=list)

    def add(self, other: Score) -> None:
        self.walkrounds += other.walkrounds
        for kind in KINDS:
            self.tallies[kind].add(other.tallies[kind])
        self.machine.add(other.machine)
        self.limits.add(other.limits)
        self.safety += other.safety
        self.errors += other.errors


def gold_files(folder: Path, group: str = "") -> list[Row]:
    """The gold walkrounds of a folder whose names begin with ``group``, by name."""
    return [json.loads(path.read_text("utf-8")) for path in sorted(folder.glob(f"{group}*.json"))]


def total(scores: Iterable[Score]) -> Score:
    """All of them added up."""
    whole = Score()
    for score in scores:
        whole.add(score)
    return whole


def compare(gold: Row, draft: Draft) -> Score:
    """One draft against its gold."""
    drafted = draft.model_dump(mode="json")
    score = Score(walkrounds=1)
    readings: Pairs = []
    for kind, same in _SAME.items():
        pairs, missed, extra = pair(_rows(gold, kind), _rows(drafted, kind), same)
        score.tallies[kind] = Tally(len(pairs), len(missed), len(extra))
        score.errors += [f"{gold['id']} missed {line(row)}" for row in missed]
        score.errors += [f"{gold['id']} extra  {line(row)}" for row in extra]
        readings = pairs if kind == "readings" else readings
    _compare_limits(gold["id"], readings, score)
    _compare_machines(gold["id"], gold["machine"], drafted["machine"], score)
    score.safety = [
        f"{gold['id']} {line(row)}" for row in safety_misses(gold["findings"], drafted["findings"])
    ]
    return score


def pair(
    gold: Sequence[Row], drafted: Sequence[Row], same: Callable[[Row, Row], bool]
) -> tuple[Pairs, list[Row], list[Row]]:
    """Pairs of rows that are the same, rows only in the gold, rows only in the draft.

    Of several readings of the draft that would do, the one with the gold's limit is taken.
    """
    rest = list(drafted)
    pairs: Pairs = []
    missed = []
    for row in gold:
        fitting = [other for other in rest if same(row, other)]
        if not fitting:
            missed.append(row)
            continue
        best = next((other for other in fitting if same_limit(row, other)), fitting[0])
        rest = [other for other in rest if other is not best]
        pairs.append((row, best))
    return pairs, missed, rest


def safety_misses(gold: Sequence[Row], drafted: Sequence[Row]) -> list[Row]:
    """Defects of the gold that a reader of the draft would take not to be there."""
    return [row for row in gold if is_defect(row) and _explained_away(row, drafted)]


def is_defect(row: Row) -> bool:
    """Whether a row says, or fears, that something is wrong."""
    bad = row.get("condition") not in (None, "sound")
    return bad and row.get("state") in ("present", "unsure")


def _explained_away(defect: Row, drafted: Sequence[Row]) -> bool:
    about = [row for row in drafted if "state" in row and _covers(row, defect)]
    calm = any(
        (row["condition"] == "sound" and row["state"] == "present")
        or (row["condition"] == defect["condition"] and row["state"] == "absent")
        for row in about
    )
    return calm and not any(is_defect(row) for row in about)


def _covers(row: Row, defect: Row) -> bool:
    """Whether a row speaks of the defect's part: a place left open covers all places."""
    return row["component"] == defect["component"] and all(
        row[axis] in (None, defect[axis]) for axis in ("end", "side")
    )


def _rows(document: Row, kind: str) -> list[Row]:
    if kind == "actions":
        return list(document["actions"])
    return [row for row in document["findings"] if ("quantity" in row) == (kind == "readings")]


def _place(row: Row) -> tuple[Any, ...]:
    return row["component"], row["end"], row["side"]


def _same_observation(one: Row, two: Row) -> bool:
    keys = ("condition", "state")
    return _place(one) == _place(two) and all(one[key] == two[key] for key in keys)


def _same_action(one: Row, two: Row) -> bool:
    return _place(one) == _place(two) and all(one[key] == two[key] for key in ("kind", "status"))


def same_reading(one: Row, two: Row) -> bool:
    if _place(one) != _place(two) or any(one[key] != two[key] for key in ("quantity", "phase")):
        return False
    return _same_value(_canonical(one, one["value"]), _canonical(two, two["value"]))


_SAME = {"observations": _same_observation, "readings": same_reading, "actions": _same_action}


def _canonical(row: Row, value: Any) -> Any:
    """A figure in its quantity's own unit; text in capitals without blanks; None where units do not fit."""
    if isinstance(value, str):
        return value.upper().replace(" ", "")
    unit = vocabulary().quantities[row["quantity"]][0]
    if value is None or unit is None or row["unit"] is None:
        return value
    try:
        return convert(float(value), row["unit"], unit)
    except ValueError:
        return None


def _same_value(gold: Any, drafted: Any) -> bool:
    if gold is None or drafted is None or isinstance(gold, str) or isinstance(drafted, str):
        return gold is not None and gold == drafted
    return bool(abs(gold - drafted) <= NEAR * abs(gold) + 1e-9)


def same_limit(gold: Row, drafted: Row) -> bool:
    return all(
        (one is None) == (two is None)
        and (one is None or _same_value(_canonical(gold, one), _canonical(drafted, two)))
        for one, two in (
            ((gold.get("limit") or {}).get(key), (drafted.get("limit") or {}).get(key))
            for key in ("low", "high", "target")
        )
    )


def _compare_limits(id_: str, pairs: Pairs, score: Score) -> None:
    """Of readings found, those with a limit in the gold or the draft."""
    for gold, drafted in pairs:
        if not (gold.get("limit") or drafted.get("limit")):
            continue
        right = same_limit(gold, drafted)
        score.limits.add(Tally(int(right), int(not right)))
        if not right:
            score.errors.append(f"{id_} limit  {line(gold)}, not {_limit_text(drafted) or 'none'}")


def _compare_machines(id_: str, gold: Row, drafted: Row, score: Score) -> None:
    """Of the three header fields, those that the gold or the draft fills."""
    for key in _HEADER:
        if gold.get(key) is None and drafted.get(key) is None:
            continue
        right = gold.get(key) == drafted.get(key)
        score.machine.add(Tally(int(right), int(not right)))
        if not right:
            score.errors.append(f"{id_} header {key} {gold.get(key)}, not {drafted.get(key)}")


def line(row: Row) -> str:
    """A row as one line: ``tyre front - tread_depth 2.5 mm found``."""
    place = f"{row['component']} {row['end'] or '-'} {row['side'] or '-'}"
    if "kind" in row:
        return f"! {place} {row['kind']} {row['status']}"
    if "quantity" in row:
        value = row["value"] if isinstance(row["value"], str) else f"{row['value']:g}"
        words = (place, row["quantity"], value, row["unit"] or "", row["phase"], _limit_text(row))
        return " ".join(word for word in words if word)
    return " ".join(word for word in (place, row["condition"] or "", row["state"]) if word)


def _limit_text(row: Row) -> str:
    limit = row.get("limit") or {}
    return " ".join(f"{key} {value:g}" for key, value in limit.items() if value is not None)
