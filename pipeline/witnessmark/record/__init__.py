"""The record: walkrounds as they came in, the trail of decisions, and what was confirmed."""

from witnessmark.record.answers import Answers
from witnessmark.record.calendars import Calendars
from witnessmark.record.exchange import Exchange, Line
from witnessmark.record.fleet import Commonness, MachineRow
from witnessmark.record.handout import hand_out
from witnessmark.record.history import Entered, History, Visit
from witnessmark.record.identity import SeveralMachines
from witnessmark.record.keeping import Erased, Keeping
from witnessmark.record.lookup import Summary
from witnessmark.record.originals import Originals
from witnessmark.record.photos import Photo
from witnessmark.record.queue import Waiting
from witnessmark.record.search import Found, Says
from witnessmark.record.store import Store

__all__ = [
    "Answers",
    "Calendars",
    "Commonness",
    "Entered",
    "Erased",
    "Exchange",
    "Found",
    "History",
    "Keeping",
    "Line",
    "MachineRow",
    "Originals",
    "Photo",
    "Says",
    "SeveralMachines",
    "Store",
    "Summary",
    "Visit",
    "Waiting",
    "hand_out",
]
