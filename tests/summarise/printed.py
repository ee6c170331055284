"""Helpers that read a PDF back: its tags, its words and their order."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from typing import Any

from PIL import Image
from pypdf import PdfReader

from witnessmark.summarise.pdf import Printable, pictures


def reader(data: bytes) -> PdfReader:
    return PdfReader(BytesIO(data))


def words(text: str) -> str:
    """Without what a line end or a drawn sign changes: spaces, hyphenation, invisible marks."""
    return re.sub("[\\s\u200b\u00ad\u2066-\u2069]+", "", text)


@cache
def pages_of(data: bytes) -> tuple[str, ...]:
    return tuple(page.extract_text() for page in reader(data).pages)


def text_of_pdf(data: bytes) -> str:
    return "\n".join(pages_of(data))


def body(data: bytes) -> str:
    """The words of all pages in order, less the line at the foot of each."""
    pages = []
    for page in pages_of(data):
        lines = page.splitlines()
        pages += [line for line in lines if not re.search(r"Page \d+ of \d+$", line)]
    return words("".join(pages))


def tags(data: bytes) -> Iterator[str]:
    """Structure types in logical order."""
    yield from _walk(reader(data).trailer["/Root"]["/StructTreeRoot"]["/K"])


def _walk(node: Any) -> Iterator[str]:
    node = node.get_object()
    if isinstance(node, list):
        for one in node:
            yield from _walk(one)
    elif isinstance(node, dict) and "/S" in node:
        yield str(node["/S"])[1:]
        if "/K" in node:
            yield from _walk(node["/K"])


def figures(data: bytes) -> list[str]:
    """The words that stand for each drawing."""
    return [str(node["/Alt"]) for node in _nodes(reader(data).trailer["/Root"]["/StructTreeRoot"]["/K"])
            if node["/S"] == "/Figure"]  # fmt: skip


def _nodes(node: Any) -> Iterator[Any]:
    node = node.get_object()
    if isinstance(node, list):
        for one in node:
            yield from _nodes(one)
    elif isinstance(node, dict) and "/S" in node:
        yield node
        if "/K" in node:
            yield from _nodes(node["/K"])


def margins_are_white(paper: Printable) -> bool:
    """Whether nothing is printed in the outer 10 mm of any page at the sides, 6 mm above and below."""
    for page in pictures(paper, ppi=25.4):
        with Image.open(BytesIO(page)) as image:
            grey = image.convert("L")
            width, height = grey.size
            sides = [grey.crop((0, 0, 10, height)), grey.crop((width - 10, 0, width, height))]
            sides += [grey.crop((0, 0, width, 6)), grey.crop((0, height - 6, width, height))]
            if min(side.getextrema()[0] for side in sides) < 250:
                return False
    return True
