"""The frozen types that all stages speak.

Data flows one way and each arrow is one of these types::

    file ─ capture ─▶ Sound ─ transcribe ─▶ Transcript ─ extract ─▶ Draft
         ─ assess ─▶ Assessment ─ review ─▶ Decision, Confirmed ─ record ─▶ Walkround ─ summarise ─▶ page

Times are seconds from the start of the decoded recording; character positions count into
``Transcript.text`` and are half-open. Ids (component, condition, quantity, ...) are those of
``models/trade``; ``witnessmark.knowledge`` checks them when it loads.
"""

from witnessmark.types.ahead import DaySpan, DueWork, Forecast, NextLook, Span
from witnessmark.types.answered import Answer, AnswerKind
from witnessmark.types.base import ActionStatus, End, Frozen, Phase, Side, State
from witnessmark.types.decided import AnyItem, Confirmed, Decision, DecisionKind, Rejected
from witnessmark.types.drafted import (
    Action,
    Doubt,
    Draft,
    Evidence,
    Finding,
    Item,
    Limit,
    Machine,
    Odometer,
    Reading,
)
from witnessmark.types.heard import SAMPLE_RATE, Recording, Sound, Transcript, Word
from witnessmark.types.judged import Assessment, Basis, Grade, Together, Verdict
from witnessmark.types.recorded import Outcome, PastAction, PastReading, Walkround

__all__ = [
    "SAMPLE_RATE",
    "Action",
    "ActionStatus",
    "Answer",
    "AnswerKind",
    "AnyItem",
    "Assessment",
    "Basis",
    "Confirmed",
    "DaySpan",
    "Decision",
    "DecisionKind",
    "Doubt",
    "Draft",
    "DueWork",
    "End",
    "Evidence",
    "Finding",
    "Forecast",
    "Frozen",
    "Grade",
    "Item",
    "Limit",
    "Machine",
    "NextLook",
    "Odometer",
    "Outcome",
    "PastAction",
    "PastReading",
    "Phase",
    "Reading",
    "Recording",
    "Rejected",
    "Side",
    "Sound",
    "Span",
    "State",
    "Together",
    "Transcript",
    "Verdict",
    "Walkround",
    "Word",
]
