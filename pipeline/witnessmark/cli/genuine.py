"""Tells a genuine summary from a changed one, by making it again from the record."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.summarise import Summary

CHANGED = (
    "Either the page was changed, or the record, the program or its rules have been since. Make it again "
    "with `witnessmark summarise`, and compare."
)


def check(record: Store, given: str) -> str:
    """What can be said for a page, or for its code alone.

    Args:
        record: the workshop's record.
        given: a summary's file (HTML or PDF), or the code that stands on it.

    Returns:
        One sentence, when it is genuine.

    Raises:
        BadInputError: it is not, or is no summary.
        StoreError: the record does not know the walkround.
    """
    from witnessmark.cli.papers import checked_language, summary_of
    from witnessmark.summarise.genuine import code_in

    data = Path(given).read_bytes() if Path(given).is_file() else None
    code = code_in(_all_text(data) if data else given)
    if code is None:
        what = "has no code of a summary." if data else "is no file here, and no code of a summary."
        raise BadInputError(what, given, "Give the file, or the code that is on it.")
    _, page = summary_of(record, code.walkround, code.made, checked_language(code.language))
    assert page.genuine is not None
    if page.genuine.code != code.text:
        raise BadInputError("the record says something else.", given, CHANGED)
    if data is None:
        return "The code is that of the page which the record gives. Compare the page itself with a new one."
    if not _same(data, page):
        raise BadInputError("the code is genuine, but what the page says is not.", given, CHANGED)
    return "Genuine: it says what the record says."


def _is_pdf(data: bytes) -> bool:
    return data.startswith(b"%PDF-")


def _all_text(data: bytes) -> str:
    """What a file says, its code included."""
    if not _is_pdf(data):
        return re.sub("<[^>]*>", "", data.decode("utf-8", errors="replace"))
    from pypdf import PdfReader  # only where a PDF is checked
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(BytesIO(data))
        keywords = str(reader.metadata.get("/Keywords", "") if reader.metadata else "")
        return "\n".join([*(page.extract_text() for page in reader.pages), keywords])
    except (PyPdfError, ValueError, KeyError) as error:
        raise BadInputError("is a damaged PDF.", None, "Ask for the file again.") from error


def _same(data: bytes, page: Summary) -> bool:
    """To the byte; of a PDF, which another version of Typst sets otherwise, what it says and shows."""
    from witnessmark.summarise import render, render_pdf

    if not _is_pdf(data):
        return data.decode("utf-8", errors="replace").split() == render(page).split()
    again = render_pdf(page)
    return data == again or _all_text(data).split() == _all_text(again).split()
