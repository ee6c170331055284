"""The code by which a page can be told from a changed one."""

from __future__ import annotations

import re
from datetime import date
from hashlib import sha256
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.page import Genuine, Summary

PATTERN = re.compile(
    r"WITNESSMARK SUMMARY (?P<walkround>w-[0-9a-f]{12}) MADE (?P<made>\d{4}-\d\d-\d\d|UNDATED) "
    r"IN (?P<language>[a-z]{2,3}) SHA256 (?P<digest>(?:[0-9a-f] ?){63}[0-9a-f])"
)


class Code(NamedTuple):
    """What the code of a page says."""

    walkround: str
    made: date | None
    language: str
    digest: str

    @property
    def text(self) -> str:
        """The code as it stands on the page."""
        made = self.made.isoformat() if self.made else "UNDATED"
        return f"WITNESSMARK SUMMARY {self.walkround} MADE {made} IN {self.language} SHA256 {self.digest}"


def code_in(text: str) -> Code | None:
    """The code in a text, whatever line ends a page or a message put into it; None where there is none."""
    found = PATTERN.search(" ".join(text.replace("\u200b", "").split()))
    if not found:
        return None
    made = None if found["made"] == "UNDATED" else date.fromisoformat(found["made"])
    return Code(found["walkround"], made, found["language"], found["digest"].replace(" ", ""))


def digest_of(page: Summary) -> str:
    """SHA-256 of the page's values as canonical JSON (RFC 8785), pictures by their own hash."""
    import rfc8785

    values = page.model_dump(
        mode="json", exclude={"genuine": True, "photographs": {"items": {"__all__": {"jpeg"}}}}
    )
    return sha256(rfc8785.dumps(values)).hexdigest()


def genuine(words: PlainWords, page: Summary, walkround: str, made: date | None) -> Genuine:
    """The code of a page, and how to have it checked."""
    labels = words.paper.labels
    code = Code(walkround, made, words.paper.language, digest_of(page))
    return Genuine(
        heading=labels["genuine_head"], holds=labels["genuine_how"], code=code.text, alt=labels["genuine_qr"]
    )
