"""Judges findings: a condition of a component and whether it is there."""

from __future__ import annotations

from witnessmark.assess.context import Context
from witnessmark.assess.grading import best, by_degree, settle
from witnessmark.assess.wording import meaning, place_of, sentence
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Finding, Grade, Verdict


def assess_finding(finding: Finding, context: Context) -> Verdict:
    """The verdict on one finding; never raises."""
    return _by_state(finding, context.rules) or _by_severity(finding, context) or _no_rule(finding)


def _kind(finding: Finding) -> str:
    return "sound" if finding.condition == "sound" else "defect"


def _called(finding: Finding) -> str:
    name = vocabulary().conditions.get(finding.condition or "", finding.condition or "")
    return f"{place_of(finding)} {name}".strip()


def _by_state(finding: Finding, rules: Rules) -> Verdict | None:
    for row in rules.severity.states:
        if row.state == finding.state and row.kind in ("any", _kind(finding)):
            subject = _called(finding) if _kind(finding) == "defect" else place_of(finding)
            return Verdict(
                item=finding.key,
                grade=row.grade,
                basis=row.basis,
                rule=row.id,
                message=sentence(f"{subject}: {row.says}"),
            )
    return None


def _by_severity(finding: Finding, context: Context) -> Verdict | None:
    row = best(
        context.rules.severity.conditions,
        finding,
        context,
        lambda row: not row.condition or finding.condition in row.condition,
    )
    if row is None or finding.condition is None:
        return None
    ruling, degree = by_degree(settle(row, context.rules), row, finding, context)
    asks = meaning(ruling.grade, context.rules)
    return ruling.verdict(finding.key, sentence(f"{_called(finding)}: {asks}", degree))


def _no_rule(finding: Finding) -> Verdict:
    return Verdict(
        item=finding.key,
        grade=Grade.UNGRADED,
        basis=Basis.NONE,
        message=sentence(f"{_called(finding)}: no rule grades it"),
    )
