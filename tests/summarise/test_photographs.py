"""Pictures are shown, upright and small, without what a camera writes into its files."""

from __future__ import annotations

from hashlib import sha256
from io import BytesIO

import pytest
from PIL import Image
from tests.summarise.printed import figures, text_of_pdf
from tests.summarise.reading import parsed, text_of
from tests.summarise.scenario import calm

from witnessmark.errors import BadInputError
from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import render, render_pdf, summarise
from witnessmark.summarise.photographs import SIDE, shown

WORDS = plain_words()


def picture(
    kind: str = "JPEG", size: tuple[int, int] = (60, 40), mode: str = "RGB", turned: bool = False
) -> bytes:
    """A sheet that is black on its left half; ``turned``: the camera says that it lies on its side."""
    image = Image.new(mode, size, "white")
    image.paste(Image.new(mode, (size[0] // 2, size[1]), "black"), (0, 0))
    exif = Image.Exif()
    if turned:
        exif[0x0112] = 6  # Exif 2.3, Orientation: the 0th row is the right side
    exif[0x010F] = "A camera"
    exif.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef
    out = BytesIO()
    image.save(out, kind, exif=exif)
    return out.getvalue()


def test_a_picture_stands_on_the_page_with_its_caption() -> None:
    data = picture()
    page = summarise(calm(), WORDS, photos=[(data, "Rear <tyre> & *rim*"), (picture("PNG"), "")])
    assert page.photographs.items[0].sha256 == sha256(data).hexdigest()
    root = parsed(render(page))
    assert [node.get("alt") for node in root.iter("img")] == ["Rear <tyre> & *rim*", "Photograph 2"]
    assert [text_of(node) for node in root.iter("figcaption")] == ["Rear <tyre> & *rim*"]
    assert all(node.get("src").startswith("data:image/jpeg;base64,") for node in root.iter("img"))
    policy = next(node for node in root.iter("meta") if node.get("http-equiv") == "Content-Security-Policy")
    assert policy.get("content").endswith("; img-src data:")
    printed = render_pdf(page)
    assert "Rear <tyre> & *rim*" in text_of_pdf(printed)
    assert {"Rear <tyre> & *rim*", "Photograph 2"} <= set(figures(printed))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_of_the_camera_is_passed_on(kind: str) -> None:
    given = picture(kind, turned=True)
    assert b"A camera" in given
    made = shown(given, "it")
    assert b"A camera" not in made
    with Image.open(BytesIO(made)) as image:
        assert image.format == "JPEG"
        assert not image.getexif()


def test_a_picture_on_its_side_is_set_upright() -> None:
    with Image.open(BytesIO(shown(picture(turned=True), "it"))) as image:
        assert image.size == (40, 60)
        assert image.getpixel((20, 5))[0] < 60
        assert image.getpixel((20, 55))[0] > 200


def test_a_large_one_is_made_small() -> None:
    with Image.open(BytesIO(shown(picture(size=(4000, 1000)), "it"))) as image:
        assert image.size == (SIDE, SIDE // 4)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1"])
def test_any_kind_of_colour(mode: str) -> None:
    with Image.open(BytesIO(shown(picture("PNG", mode=mode), "it"))) as image:
        assert image.mode == "RGB"


@pytest.mark.parametrize(
    "data", [b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>", picture()[:200], b"\xff\xd8\xff"]
)
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(BadInputError, match="Photograph 1: the picture cannot be read"):
        summarise(calm(), WORDS, photos=[(data, "")])
