"""The page as one self-contained HTML document."""

from __future__ import annotations

import re
from base64 import b64encode
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.knowledge.drawings import drawings
from witnessmark.summarise.page import Drawing, Summary
from witnessmark.types import Frozen

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).with_name("templates")


class Pattern(NamedTuple):
    """A QR code as one path of an SVG drawing."""

    side: int
    path: str


@cache
def environment() -> Environment:
    """The template engine: everything is escaped, and a name that is missing is an error."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # heavy: only when a page is made

    made = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.filters["base64"] = lambda data: b64encode(data).decode()
    return made


def render(summary: Summary) -> str:
    """The summary as an HTML5 page: style inside, no script, nothing fetched from elsewhere."""
    from markupsafe import Markup

    art = Markup(line_art(summary.drawing)) if summary.drawing else ""
    qr = pattern(summary.genuine.code) if summary.genuine else None
    return environment().get_template("summary.html").render(page=summary, line_art=art, qr=qr)


def render_paper(template: str, page: Frozen) -> str:
    """Another paper as an HTML5 page.

    Args:
        template: name of a file of this folder.
        page: its values.
    """
    return environment().get_template(template).render(page=page)


def line_art(drawn: Drawing) -> str:
    """The line drawing itself, as a group that stands inside another SVG element."""
    svg = drawings().drawing(drawn.id).svg.strip()
    inner = re.sub("^<svg [^>]*>|</svg>$", "", svg)
    named = re.sub(' id="[^"]*"', "", inner)  # an id may stand on a page once
    style = svg[svg.index("fill=") : svg.index(">")]
    return f"<g {style}>{named}</g>"


def pattern(code: str) -> Pattern:
    """The code as a QR code (ISO/IEC 18004) that survives a quarter of it being unreadable."""
    import segno

    made = segno.make_qr(code, error="q")
    rows = list(made.matrix_iter(border=2))
    squares = [f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark]
    return Pattern(len(rows), "".join(squares))
