"""The owner's papers: ``summarise`` makes a page's values, ``render`` and ``render_pdf`` the page."""

from witnessmark.summarise.ahead import Outlook
from witnessmark.summarise.carried import Before
from witnessmark.summarise.jobsheet import jobsheet
from witnessmark.summarise.page import Summary
from witnessmark.summarise.pdf import render_pdf
from witnessmark.summarise.render import render
from witnessmark.summarise.summary import summarise

__all__ = ["Before", "Outlook", "Summary", "jobsheet", "render", "render_pdf", "summarise"]
