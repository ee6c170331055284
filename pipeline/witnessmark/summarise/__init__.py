"""The owner's summary: ``summarise`` makes the page's values, ``render`` the page."""

from witnessmark.summarise.ahead import Outlook
from witnessmark.summarise.page import Summary
from witnessmark.summarise.render import render
from witnessmark.summarise.summary import summarise

__all__ = ["Outlook", "Summary", "render", "summarise"]
