"""The papers as PDF, by Typst: tagged for screen readers (PDF/UA-1), with title and language."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from witnessmark.errors import WitnessmarkError
from witnessmark.knowledge.drawings import drawings
from witnessmark.summarise.page import Summary
from witnessmark.summarise.render import TEMPLATES, pattern

if TYPE_CHECKING:
    import typst

LETTER = {"US", "CA", "MX", "PH", "CL", "CO"}
"""Countries whose paper is US Letter (Unicode CLDR, measurement data, paper size; from memory)."""


def render_pdf(summary: Summary) -> bytes:
    """The summary as PDF: what ``render`` tells, from the same values."""
    values = summary.model_dump(mode="json", exclude={"photographs": {"items": {"__all__": {"jpeg"}}}})
    inputs = {
        "art": drawings().drawing(summary.drawing.id).svg if summary.drawing else "",
        "qr": qr_svg(summary.genuine.code) if summary.genuine else "",
    }
    files = {f"photo-{n}.jpg": one.jpeg for n, one in enumerate(summary.photographs.items)}
    return compiled("summary.typ", values, summary.language, inputs, files)


def qr_svg(code: str) -> str:
    """The code as a QR code, one SVG drawing."""
    made = pattern(code)
    box = f"0 0 {made.side} {made.side}"
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="{made.path}"/></svg>'


def compiled(
    template: str,
    values: Mapping[str, Any],
    language: str,
    inputs: Mapping[str, str] | None = None,
    files: Mapping[str, bytes] | None = None,
) -> bytes:
    """A template of this folder with its values as PDF.

    The same values give the same bytes with the same version of Typst and the same fonts.

    Args:
        template: name of the file.
        values: what ``d`` is in the template; strings in it are shown, never run.
        language: BCP 47.
        inputs: further texts, such as drawings.
        files: pictures by name.

    Raises:
        WitnessmarkError: Typst cannot set the page.
    """
    source = (TEMPLATES / "paper.typ").read_bytes() + (TEMPLATES / template).read_bytes()
    lang, _, region = language.partition("-")
    given = {
        "page": json.dumps(values), "lang": lang, "region": region or "GB",
        "sheet": "us-letter" if region in LETTER else "a4", **(inputs or {}),
    }  # fmt: skip
    with TemporaryDirectory() as folder:
        for name, data in (files or {}).items():
            (Path(folder) / name).write_bytes(data)
        return _set(source, given, folder)


def _set(source: bytes, inputs: dict[str, str], folder: str) -> bytes:
    """PDF/UA-1; without that promise, though still tagged, where no font here has some letter of a name."""
    import typst  # native code: only when a page is made

    compiler = typst.Compiler(root=folder, font_paths=_fonts(), sys_inputs=inputs)
    try:
        made = compiler.compile(source, format="pdf", pdf_standards="ua-1", timestamp=0)
    except typst.TypstError as error:
        if "could not be displayed" not in error.message:
            raise WitnessmarkError("the page cannot be set as PDF.", error.message, "Write HTML.") from error
        made = compiler.compile(source, format="pdf", timestamp=0)
    assert isinstance(made, bytes)
    return made


@cache
def _fonts() -> typst.Fonts:
    """Typst's own fonts, then those of this machine for letters that they lack."""
    import typst

    return typst.Fonts()
