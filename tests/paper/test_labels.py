"""Labels: what is printed is read back by a reader of codes from the painted page."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from pypdf import PdfReader
from pypdf.generic import ContentStream

from tideover.desk.coldbox import facts_of
from tideover.paper.labels import Label, address_of, hive_labels, label_sheet, piece_label, piece_labels
from tideover.patty.ledger.fold import fold
from tideover.records import Books, Hive, Yard, new_entry, open_books

SCALE = 3.0
"""Pixels per point: 216 to the inch, less than any phone's camera sees."""


def painted(path: Path, number: int = 0) -> np.ndarray:
    """A page's filled rectangles painted as grey pixels, as a printer would: lines and letters are left out."""
    page = PdfReader(path).pages[number]
    wide, high = (int(float(v) * SCALE) for v in (page.mediabox.width, page.mediabox.height))
    canvas = np.full((high, wide), 255, dtype=np.uint8)
    shift = [(0.0, 0.0)]
    boxes: list[tuple[float, float, float, float]] = []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"q":
            shift.append(shift[-1])
        elif operator == b"Q":
            shift.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = (float(v) for v in operands)
            assert (a, b, c, d) == (1, 0, 0, 1)
            shift[-1] = (shift[-1][0] + e, shift[-1][1] + f)
        elif operator == b"re":
            x, y, w, h = (float(v) for v in operands)
            boxes.append((x + shift[-1][0], y + shift[-1][1], w, h))
        elif operator in (b"f", b"F", b"f*"):
            for x, y, w, h in boxes:
                left, right = round(x * SCALE), round((x + w) * SCALE)
                top, bottom = round(high - (y + h) * SCALE), round(high - y * SCALE)
                canvas[top:bottom, left:right] = 20
            boxes = []
        elif operator in (b"S", b"s", b"n", b"B"):
            boxes = []
    return canvas


def codes_on(path: Path) -> list[str]:
    """Texts of all codes of all pages, as the reader finds them."""
    pages = range(len(PdfReader(path).pages))
    return [found.text for n in pages for found in zxingcpp.read_barcodes(painted(path, n))]


@pytest.fixture
def books(tmp_path: Path) -> Books:
    """Two yards, four hives, one batch of five pieces and one that does not say."""
    made = open_books(tmp_path / "books.db")
    for yard, name in (("quarry", "Quarry"), ("mill-race", "Mill Race")):
        made.put_yard(Yard(yard, name, 37.2, -119.4, "America/Los_Angeles", 310.0, "present", "absent"))
        for i in (1, 2):
            made.put_hive(Hive(f"{yard}-{i:02d}", yard))
    at = datetime(2031, 7, 1, 16, tzinfo=UTC)
    values = {"batch": "K7", "weight": 567.0, "protein": 15.0, "pieces": 5}
    made.add(
        [
            new_entry("batch", "quarry", None, at, values, at, who="jo"),
            new_entry("batch", "quarry", None, at, {"batch": "K8", "weight": 500.0}, at, who="jo"),
        ]
    )
    return made


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_codes_are_read_back_from_the_page(books: Books, tmp_path: Path, paper: str) -> None:
    """Every hive's code opens its page under the address set."""
    books.put_settings({"address": "http://hives.local:8737"})
    path = label_sheet(hive_labels(books), tmp_path / "l.pdf", paper)
    wanted = [f"http://hives.local:8737/hive/{h.id}" for h in books.hives()]
    assert sorted(codes_on(path)) == sorted(wanted)


def test_without_an_address_a_code_holds_the_plain_name(books: Books, tmp_path: Path) -> None:
    """A scanner that types what it reads still helps."""
    path = label_sheet(hive_labels(books, "quarry"), tmp_path / "l.pdf")
    assert sorted(codes_on(path)) == ["quarry-01", "quarry-02"]


def test_a_code_a_quarter_covered_is_still_read(books: Books, tmp_path: Path) -> None:
    """Level Q of ISO/IEC 18004 restores about 25 % of the code words: a smear over a corner of the data does no harm."""
    path = label_sheet([Label("http://hives.local:8737/hive/quarry-01", "quarry-01")], tmp_path / "l.pdf")
    page = painted(path)
    (found,) = zxingcpp.read_barcodes(page)
    corner = found.position.bottom_right
    page[corner.y - 28 : corner.y + 2, corner.x - 28 : corner.x + 2] = 255
    assert [f.text for f in zxingcpp.read_barcodes(page)] == [found.text]


def test_pieces_have_weight_and_protein_in_words(books: Books, tmp_path: Path) -> None:
    """Each piece of a batch once, with its share of the batch's weight in both units (567 g / 5 = a quarter pound)."""
    labels = piece_labels(books, "K7", "us")
    assert [label.name for label in labels] == [f"K7-{i}" for i in range(1, 6)]
    assert labels[0].lines[0] == "¼ lb (115 g)"
    path = label_sheet(labels, tmp_path / "l.pdf")
    text = PdfReader(path).pages[0].extract_text()
    assert "15 % protein" in text
    assert text.count("feed, not for people") == 5
    assert sorted(codes_on(path)) == [f"K7-{i}" for i in range(1, 6)]


def test_names_with_odd_letters_come_back(tmp_path: Path) -> None:
    """Spaces, slashes and letters beyond ASCII survive."""
    for text in ("Königin 3/4", "hive 12 (old)", "養蜂-01"):
        path = label_sheet([Label(text, text)], tmp_path / "l.pdf")
        assert codes_on(path) == [text]


def test_many_labels_fill_pages_and_print_the_same_twice(tmp_path: Path) -> None:
    """Fifty labels on three pages of 21, each read once; the same bytes for the same labels."""
    labels = [Label(f"hive-{i:02d}", f"hive-{i:02d}") for i in range(50)]
    path = label_sheet(labels, tmp_path / "a.pdf")
    assert len(PdfReader(path).pages) == 3
    assert sorted(codes_on(path)) == [label.code for label in labels]
    assert path.read_bytes() == label_sheet(labels, tmp_path / "b.pdf").read_bytes()


def test_what_cannot_be_printed_is_told(books: Books, tmp_path: Path) -> None:
    """One sentence each with what to do."""
    with pytest.raises(ValueError, match="bring hives or write a batch first"):
        label_sheet([], tmp_path / "l.pdf")
    with pytest.raises(ValueError, match="wanted one of a4, letter"):
        label_sheet([Label("a", "a")], tmp_path / "l.pdf", "a5")
    with pytest.raises(ValueError, match="set a shorter address"):
        label_sheet([Label("http://example.org/" + "x" * 400, "a")], tmp_path / "l.pdf")
    with pytest.raises(ValueError, match="the books hold K7, K8"):
        piece_labels(books, "K9")
    with pytest.raises(ValueError, match="does not say how many pieces"):
        piece_labels(books, "K8")


@pytest.mark.parametrize(
    "text", ["hives.local", "ftp://x", "http://", "http://a b", "javascript:alert(1)", "http://x?y"]
)
def test_addresses_that_no_phone_opens_are_refused(text: str) -> None:
    """Only http and https with a host."""
    with pytest.raises(ValueError, match="wanted one such as"):
        address_of(text)


def test_an_address_loses_its_last_slash() -> None:
    """So that paths are put behind it; nothing stays nothing."""
    assert address_of(" https://hives.example/bees/ ") == "https://hives.example/bees"
    assert address_of("") == ""


def test_one_piece_says_what_is_left_and_whose_it_is(tmp_path: Path) -> None:
    """454 g laid on without a code, 200 g of it taken off: its made code is found as written and as misread."""
    on, off = datetime(2026, 7, 1, 9, tzinfo=UTC), datetime(2026, 7, 8, 9, tzinfo=UTC)
    with open_books(tmp_path / "one.db") as books:
        books.put_yard(Yard("y", "Yard", 37.0, -119.0, "America/Los_Angeles"))
        books.put_hive(Hive("y-1", "y"))
        books.add(
            [
                new_entry("laid on", "y", "y-1", on, {"weight": 454.0}, on),
                new_entry("taken off", "y", "y-1", off, {"weight": 200.0}, off),
            ]
        )
        code = next(iter(fold(facts_of(books)).pieces))
        made = piece_label(books, code)
        misread = piece_label(books, code.replace("0", "O").replace("1", "I").lower())

        assert made == misread
        assert made.code == made.name == code
        assert made.lines[0].startswith("200 g")
        assert "back to y-1, no other" in made.lines
        with pytest.raises(ValueError, match="no piece 'B99-1' is in the books"):
            piece_label(books, "B99-1")
