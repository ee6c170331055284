"""``witnessmark summarise``: HTML and PDF, and whether a page is genuine."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter
from tests.summarise.printed import text_of_pdf, words
from tests.summarise.reading import parsed, text_of
from tests.summarise.reviewed import take_in

from helpers_cli import Run
from witnessmark.record import Store

STOP = "Do not ride this machine, not even a short way, until this is put right: front tyre"


@pytest.fixture
def html(run: Run, store: Path, tmp_path: Path) -> Path:
    run("summarise", "latest", "--store", store, "--out", tmp_path / "page.html")
    return tmp_path / "page.html"


@pytest.fixture
def pdf(run: Run, store: Path, tmp_path: Path) -> Path:
    run("summarise", "latest", "--store", store, "--out", tmp_path / "page.PDF")
    return tmp_path / "page.PDF"


def code_of(html: Path) -> str:
    return text_of(next(parsed(html.read_text("utf-8")).iter("code")))


def test_the_name_decides_between_html_and_pdf(html: Path, pdf: Path) -> None:
    page = text_of(parsed(html.read_text("utf-8")))
    assert STOP in page
    assert words(STOP) in words(text_of_pdf(pdf.read_bytes()))


def test_a_genuine_page_is_told(run: Run, store: Path, html: Path, pdf: Path) -> None:
    for file in (html, pdf):
        told = run("summarise", "--store", store, "--check", file)
        assert (told.status, told.out.strip()) == (0, "Genuine: it says what the record says.")
    told = run("summarise", "--store", store, "--check", code_of(html))
    assert told.status == 0
    assert "Compare the page itself" in told.out


def test_one_changed_figure_is_told(run: Run, store: Path, html: Path) -> None:
    html.write_text(html.read_text("utf-8").replace("0.8 mm", "2.8 mm"), "utf-8")
    told = run("summarise", "--store", store, "--check", html)
    assert told.status == 2
    assert "the code is genuine, but what the page says is not" in told.err


def test_a_print_with_other_words_under_the_code_of_another_is_told(run: Run, store: Path, pdf: Path) -> None:
    genuine = PdfReader(BytesIO(pdf.read_bytes()))
    writer = PdfWriter()
    writer.append(genuine, pages=(0, 1) if len(genuine.pages) > 1 else (0, 0))
    writer.add_metadata({"/Keywords": genuine.metadata["/Keywords"]})
    writer.write(pdf)
    told = run("summarise", "--store", store, "--check", pdf)
    assert told.status == 2
    assert "what the page says is not" in told.err


def test_a_code_of_other_values_is_told(run: Run, store: Path, html: Path) -> None:
    code = code_of(html)
    told = run("summarise", "--store", store, "--check", code[:-1] + ("0" if code[-1] != "0" else "1"))
    assert told.status == 2
    assert "the record says something else" in told.err


def test_what_has_no_code_is_no_summary(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "letter.pdf").write_bytes(b"%PDF-1.7 nothing")
    for given in ("hello", tmp_path / "letter.pdf"):
        told = run("summarise", "--store", store, "--check", given)
        assert told.status == 2
        assert "Give the file" in told.err or "Ask for the file again" in told.err


def test_a_walkround_has_to_be_named(run: Run, store: Path) -> None:
    assert run("summarise", "--store", store).status == 2


def test_a_language_without_words_is_refused(run: Run, store: Path) -> None:
    told = run("summarise", "latest", "--store", store, "--language", "xx")
    assert told.status == 2
    assert "There are: de, en." in told.err


def test_pictures_of_the_walkround_stand_on_the_page(run: Run, store: Path, tmp_path: Path) -> None:
    out = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(out, "JPEG")
    with Store.open(store) as record:
        id = record.walkround("latest").id
        tread = next(one for one in record.walkround(id).draft.findings if one.component == "tyre")
        record.add_photo(id, out.getvalue(), "A. Fenwick", seconds=tread.evidence[0].start)
        record.add_photo(id, b"\x00\x00\x00\x18ftypheic" + bytes(40), "A. Fenwick")
    told = run("summarise", "latest", "--store", store, "--out", tmp_path / "page.html")
    root = parsed((tmp_path / "page.html").read_text("utf-8"))
    assert [text_of(node) for node in root.iter("figcaption")] == ["Front tyre"]
    assert "It is left out" in told.err


def test_what_waits_is_left_out_and_said(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "open.sqlite"
    with Store.open(path) as record:
        take_in(record, "The horn works. The chain is rusty.", date(2026, 5, 21), "GB", leave=1)
    told = run("summarise", "latest", "--store", path, "--out", tmp_path / "page.pdf")
    assert "2 items still wait" in told.err
    printed = text_of_pdf((tmp_path / "page.pdf").read_bytes())
    assert "The review is not finished." in printed
    assert "Rust" not in printed
