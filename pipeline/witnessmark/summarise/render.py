"""The page as one self-contained HTML document."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.summarise.page import Summary

if TYPE_CHECKING:
    from jinja2 import Template

TEMPLATES = Path(__file__).with_name("templates")


@cache
def _template() -> Template:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # heavy: only when a page is made

    environment = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return environment.get_template("summary.html")


def render(summary: Summary) -> str:
    """The summary as an HTML5 page: style inside, no script, nothing fetched from elsewhere."""
    return _template().render(page=summary)
