"""The papers as PDF, by Typst: tagged for screen readers (PDF/UA-1), with title and language."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from witnessmark.errors import WitnessmarkError
from witnessmark.knowledge.drawings import drawings
from witnessmark.summarise.page import Summary
from witnessmark.summarise.render import TEMPLATES, pattern

if TYPE_CHECKING:
    import typst

LETTER = {"US", "CA", "MX", "PH", "CL", "CO"}
"""Countries whose paper is US Letter (Unicode CLDR, measurement data, paper size; from memory)."""


class Printable(NamedTuple):
    """A template of this folder with all that it needs."""

    template: str
    values: Mapping[str, Any]
    """What ``d`` is in the template; strings in it are shown, never run."""
    language: str
    """BCP 47."""
    inputs: Mapping[str, str] = MappingProxyType({})
    """Further texts, such as drawings."""
    files: Mapping[str, bytes] = MappingProxyType({})
    """Pictures by name."""


def render_pdf(summary: Summary) -> bytes:
    """The summary as PDF: what ``render`` tells, from the same values."""
    return compiled(printable(summary))


def printable(summary: Summary) -> Printable:
    """The summary with its drawings and pictures."""
    values = summary.model_dump(mode="json", exclude={"photographs": {"items": {"__all__": {"jpeg"}}}})
    inputs = {
        "art": drawings().drawing(summary.drawing.id).svg if summary.drawing else "",
        "qr": qr_svg(summary.genuine.code) if summary.genuine else "",
    }
    files = {f"photo-{n}.jpg": one.jpeg for n, one in enumerate(summary.photographs.items)}
    return Printable("summary.typ", values, summary.language, inputs, files)


def qr_svg(code: str) -> str:
    """The code as a QR code, one SVG drawing."""
    made = pattern(code)
    box = f"0 0 {made.side} {made.side}"
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="{made.path}"/></svg>'


def compiled(paper: Printable) -> bytes:
    """A paper as PDF/UA-1.

    Where no font here has some letter of a name it keeps its tags, but not the promise of PDF/UA that every
    letter is shown. The same values give the same bytes with the same version of Typst and the same fonts.

    Raises:
        WitnessmarkError: Typst cannot set the page.
    """
    import typst  # native code: only when a page is made

    with _compiler(paper) as (compiler, source):
        try:
            made = compiler.compile(source, format="pdf", pdf_standards="ua-1", timestamp=0)
        except typst.TypstError as error:
            if "could not be displayed" not in error.message:
                raise WitnessmarkError(
                    "the page cannot be set as PDF.", error.message, "Write HTML."
                ) from error
            made = compiler.compile(source, format="pdf", timestamp=0)
    assert isinstance(made, bytes)
    return made


def pictures(paper: Printable, ppi: float = 110) -> list[bytes]:
    """Each page as a PNG picture, to look at."""
    with _compiler(paper) as (compiler, source):
        made = compiler.compile(source, format="png", ppi=ppi)
    return [made] if isinstance(made, bytes) else list(made or [])


@contextmanager
def _compiler(paper: Printable) -> Iterator[tuple[typst.Compiler, bytes]]:
    """A compiler that sees the pictures and nothing else, and the source."""
    import typst

    source = (TEMPLATES / "paper.typ").read_bytes() + (TEMPLATES / paper.template).read_bytes()
    lang, _, region = paper.language.partition("-")
    given = {
        "page": json.dumps(paper.values), "lang": lang, "region": region or "GB",
        "sheet": "us-letter" if region in LETTER else "a4", **paper.inputs,
    }  # fmt: skip
    with TemporaryDirectory() as folder:
        for name, data in paper.files.items():
            (Path(folder) / name).write_bytes(data)
        yield typst.Compiler(root=folder, font_paths=_fonts(), sys_inputs=given), source


@cache
def _fonts() -> typst.Fonts:
    """Typst's own fonts, then those of this machine for letters that they lack."""
    import typst

    return typst.Fonts()
