"""Pictures taken during the inspection, made fit for the page."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from io import BytesIO

from witnessmark.errors import BadInputError
from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.page import Photograph, Section

SIDE = 1400
"""Pixels: enough for half a sheet of A4 in print."""
MOST_PIXELS = 100_000_000
"""A picture that claims more than this is not opened: it would fill the memory."""

FORMATS = ("JPEG", "PNG", "WEBP", "AVIF")

Given = tuple[bytes, str]
"""A JPEG, PNG, WebP or AVIF file, and a caption."""


def photographs(words: PlainWords, given: Sequence[Given]) -> Section[Photograph]:
    """The pictures in the order given.

    Raises:
        BadInputError: one is not a picture of these kinds, is damaged or too large.
    """
    labels = words.paper.labels
    items = tuple(_photograph(words, data, caption, n) for n, (data, caption) in enumerate(given, start=1))
    return Section(
        id="photographs", heading=labels["photographs"], holds=labels["photographs_holds"], items=items
    )


def _photograph(words: PlainWords, data: bytes, caption: str, number: int) -> Photograph:
    name = words.paper.labels["photograph"].format(number=number)
    return Photograph(
        caption=caption, alt=caption or name, sha256=sha256(data).hexdigest(), jpeg=shown(data, name)
    )


def shown(data: bytes, name: str) -> bytes:
    """The picture as a JPEG without place, time and other notes of the camera, upright and not too large.

    Raises:
        BadInputError: it is no such picture, is damaged or too large.
    """
    from PIL import Image, ImageOps

    remedy = "Give a JPEG, PNG, WebP or AVIF picture."
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise BadInputError("the picture is too large.", name, "Make it smaller.")
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((SIDE, SIDE))
            out = BytesIO()
            _on_white(upright).save(out, "JPEG", quality=82, optimize=True)
            return out.getvalue()
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise BadInputError("the picture cannot be read.", name, remedy) from error


def _on_white(picture: Image) -> Image:  # type: ignore[name-defined]  # noqa: F821
    """JPEG has no transparency."""
    from PIL import Image

    if picture.mode not in ("RGBA", "LA", "P"):
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    sheet = Image.new("RGBA", clear.size, "white")
    sheet.alpha_composite(clear)
    return sheet.convert("RGB")
