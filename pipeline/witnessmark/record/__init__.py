"""The record: walkrounds as they came in, the trail of decisions, and what was confirmed."""

from witnessmark.record.history import Entered, History, Visit
from witnessmark.record.lookup import Summary
from witnessmark.record.store import Store

__all__ = ["Entered", "History", "Store", "Summary", "Visit"]
