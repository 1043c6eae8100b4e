"""The printed round: everything on it, nothing over the edge, the same bytes twice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.samples import GATE, call, line, round_view
from tideover.evidence import words
from tideover.paper import PAPER_SIZES, amounts, round_sheet
from tideover.paper.sheet import SAFETY

CASES = [("metric", "a4"), ("us", "letter"), ("us", "a4"), ("metric", "letter")]


def text_of(path: Path) -> list[str]:
    """Words of each page, white space made even."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


@pytest.mark.parametrize(("units", "paper"), CASES)
def test_every_hive_stands_with_its_call_amount_and_pull_by(tmp_path: Path, units: str, paper: str) -> None:
    """Each of 26 hives is printed once with its action; amounts and pull-by where the call has them."""
    view = round_view()
    pages = text_of(round_sheet(view, tmp_path / "r.pdf", units, paper))
    whole = " ".join(pages)
    lines = [one for yard in view.yards for one in yard.hives]
    assert len(lines) == 26
    for one in lines:
        assert whole.count(one.hive) == 1, one.hive
        begin = whole.index(one.hive)
        head = whole[begin : begin + 160]
        assert one.call.action.lower() in head.lower()
        if one.call.grams:
            assert amounts.both(one.call.grams, units) in head
        if one.call.pull_by:
            assert "Pull by Sun 20 Jul 09:30" in whole


@pytest.mark.parametrize(("units", "paper"), CASES)
def test_page_size_number_and_safety_line_on_every_page(tmp_path: Path, units: str, paper: str) -> None:
    """Pages have the paper asked for, count themselves, and carry the safety line."""
    path = round_sheet(round_view(), tmp_path / "r.pdf", units, paper)
    pages = PdfReader(path).pages
    for number, page in enumerate(pages, start=1):
        # ISO 216 A4 is 210 x 297 mm, US letter 8.5 x 11 in; 72 points an inch
        wide, high = (210 / 25.4 * 72, 297 / 25.4 * 72) if paper == "a4" else (612, 792)
        assert float(page.mediabox.width) == pytest.approx(wide, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(high, abs=0.1)
        words_on = " ".join(page.extract_text().split())
        assert f"page {number} of {len(pages)}" in words_on
        assert SAFETY in words_on


def test_each_yard_begins_a_page_with_date_land_load_and_cautions(tmp_path: Path) -> None:
    """A yard's sheet can be handed to whoever goes there."""
    view = round_view()
    pages = text_of(round_sheet(view, tmp_path / "r.pdf"))
    for yard in view.yards:
        first = next(page for page in pages if page.startswith(yard.name))
        assert "Mon 14 Jul 2031" in first
        assert yard.land in first
        assert "Load for this yard: 2.72 kg (6 lb) patty" in first
        for caution in yard.cautions:
            assert caution in first


def test_blanks_offer_the_words_of_a_look(tmp_path: Path) -> None:
    """What can be ticked is what can be typed in: the same words, 'not looked' among the signs."""
    view = round_view((1,))
    (page,) = text_of(round_sheet(view, tmp_path / "r.pdf"))
    labels = (
        "Time", "Shade temp", "Seams per box, bottom first", "Heft", "Patty left, quarters", "It feels",
        "Outer comb: pollen", "Brood comb: pollen band", "Capped, ¼ sides", "Open, ¼ sides", "Eggs", "Jelly: floating",
        "damp", "dry", "Brood discoloured, sunken, ropy", "Laid on", "Taken off", "Done",
    )  # fmt: skip
    for label in labels:
        assert label in page, label
    groups = (
        words.HEFT, words.PATTY_TEXTURE, words.PATTY_DEBRIS, words.BEETLES, words.POLLEN_OUTER, words.POLLEN_NEST,
        words.YES_NO, words.POLLEN_COMING,
    )  # fmt: skip
    for group in groups:
        assert " ".join(group) in page, group


def test_same_round_gives_the_same_bytes(tmp_path: Path) -> None:
    """No clock and no chance in the file."""
    one = round_sheet(round_view(), tmp_path / "a.pdf").read_bytes()
    two = round_sheet(round_view(), tmp_path / "b.pdf").read_bytes()
    assert one == two


def test_typeface_is_embedded(tmp_path: Path) -> None:
    """A printer without the typeface still prints ½, ≥ and °."""
    path = round_sheet(round_view(), tmp_path / "r.pdf")
    found = 0
    for page in PdfReader(path).pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object().get("/FontDescriptor")
            if described is None:
                # the canvas names a base font in every page's resources; nothing is set in it
                assert font.get_object()["/BaseFont"] == "/Helvetica"
                continue
            assert "/FontFile2" in described.get_object()
            found += 1
    assert found > 0
    whole = " ".join(text_of(path))
    for sign in ("½", "¼", "≥", "°"):
        assert sign in whole


def test_nothing_is_set_in_the_base_font(tmp_path: Path) -> None:
    """Every shown text uses the embedded typeface."""
    path = round_sheet(round_view((2,)), tmp_path / "r.pdf")
    for page in PdfReader(path).pages:
        used: set[str] = set()

        def see(text: str, *rest: object, used: set[str] = used) -> None:
            font = rest[2]
            if text.strip() and isinstance(font, dict):
                used.add(str(font.get("/BaseFont")))

        page.extract_text(visitor_text=see)
        assert used
        assert all("Source" in name for name in used), used


def test_empty_round_is_a_proper_page(tmp_path: Path) -> None:
    """No yards: one page that says so, dated and numbered."""
    view = replace(round_view(), yards=[])
    pages = text_of(round_sheet(view, tmp_path / "r.pdf"))
    assert len(pages) == 1
    assert "No yard is in the books yet" in pages[0]
    assert "page 1 of 1" in pages[0]
    assert "Mon 14 Jul 2031" in pages[0]


def test_yard_without_hives_says_so(tmp_path: Path) -> None:
    """A yard without hives keeps its page."""
    view = round_view((1,))
    view = replace(view, yards=[replace(view.yards[0], hives=[])])
    (page,) = text_of(round_sheet(view, tmp_path / "r.pdf"))
    assert "No hive stands in this yard." in page


@pytest.mark.parametrize("paper", list(PAPER_SIZES))
def test_long_names_and_texts_stay_on_the_paper(tmp_path: Path, paper: str) -> None:
    """However long the words, no glyph starts or ends beyond the margins."""
    long_hive = "the-very-far-corner-behind-the-old-pump-house-by-the-willow-" + "x" * 20
    endless = "w" * 300
    gates = (replace(GATE, do=f"{GATE.do} {endless} " + "and again " * 60),)
    one = replace(
        line(long_hive, "Quarry", "see to the cause first", gates=gates, yard="quarry", ask=(endless,)),
        last_look="seen " * 80,
    )
    view = round_view((1,))
    yard = replace(view.yards[0], name="Yard " * 40, land="dry " * 120, cautions=("hot " * 80,), hives=[one, one])
    path = round_sheet(replace(view, yards=[yard], note="n " * 200), tmp_path / "r.pdf", paper_size=paper)
    from tideover.paper.lettering import BOLD, PLAIN, width

    for page in PdfReader(path).pages:
        wide, high = float(page.mediabox.width), float(page.mediabox.height)

        def see(
            text: str,
            cm: list[float],
            tm: list[float],
            font: dict[str, str],
            size: float,
            w: float = wide,
            h: float = high,
        ) -> None:
            if text.strip():
                face = BOLD if "Bold" in str(font.get("/BaseFont")) else PLAIN
                assert tm[4] >= 30, text
                assert tm[4] + width(text.strip("\n"), face, size) <= w - 30, text
                assert 20 <= tm[5] <= h - 20, text

        page.extract_text(visitor_text=see)


def test_what_blocks_is_printed_whole(tmp_path: Path) -> None:
    """A gate that stops feeding is never cut short, nor is whom to call."""
    gates = (
        replace(GATE, effect="blocks", do=GATE.do + " Write down the date and tell the neighbours with hives nearby."),
    )
    view = round_view((1,))
    yard = replace(
        view.yards[0], hives=[line("quarry-01", "Quarry", "see to the cause first", gates=gates, yard="quarry")]
    )
    (page,) = text_of(round_sheet(replace(view, yards=[yard]), tmp_path / "r.pdf"))
    assert "Stop: Brood looks wrong." in page
    assert "tell the neighbours with hives nearby." in page
    assert "the apiary inspector or a vet" in page


def test_existing_sheet_is_replaced_in_one_step(tmp_path: Path) -> None:
    """A reader never meets half a file, and no leftovers stay beside it."""
    path = tmp_path / "deep" / "r.pdf"
    round_sheet(round_view((1,)), path)
    round_sheet(round_view((3,)), path)
    whole = " ".join(text_of(path))
    assert "quarry-03" in whole
    assert [p.name for p in path.parent.iterdir()] == ["r.pdf"]


@pytest.mark.parametrize(("units", "paper", "says"), [("stone", "a4", "units"), ("metric", "a3", "paper size")])
def test_unknown_units_or_paper_are_refused(tmp_path: Path, units: str, paper: str, says: str) -> None:
    """One sentence: what was got, what is wanted."""
    with pytest.raises(ValueError, match=f"Got {says}"):
        round_sheet(round_view((1,)), tmp_path / "r.pdf", units, paper)


def test_call_without_reasons_prints_its_summary(tmp_path: Path) -> None:
    """No hive is left without a why."""
    view = round_view((1,))
    bare = replace(view.yards[0].hives[0], call=call("quarry-01", "leave", reasons=(), yard="quarry"))
    (page,) = text_of(round_sheet(replace(view, yards=[replace(view.yards[0], hives=[bare])]), tmp_path / "r.pdf"))
    assert "Why: leave at quarry-01" in page


def test_what_holds_for_many_hives_is_told_once_for_the_yard(tmp_path: Path) -> None:
    """A gate of three hives or more stands whole at the head of the yard, by its title at each hive."""
    view = round_view((1,))
    hives = [line(f"quarry-{i:02d}", "Quarry", "leave", gates=(GATE,), yard="quarry") for i in range(1, 5)]
    pages = text_of(round_sheet(replace(view, yards=[replace(view.yards[0], hives=hives)]), tmp_path / "r.pdf"))
    whole = " ".join(pages)
    assert whole.count(GATE.do) == 1
    assert GATE.do in pages[0]
    assert whole.count(GATE.title) == 1 + len(hives)


def test_what_rules_the_visit_is_on_every_page(tmp_path: Path) -> None:
    """Pages are handed to different people: each says that no smoker may be lit."""
    ban = replace(GATE, code="fire-ban", title="Fire ban: no smoker", do="Do not light a smoker.")
    view = round_view((1,))
    hives = [line(f"quarry-{i:02d}", "Quarry", "leave", gates=(ban,), yard="quarry") for i in range(1, 8)]
    yard = replace(view.yards[0], hives=hives, cautions=())
    pages = text_of(round_sheet(replace(view, yards=[yard]), tmp_path / "r.pdf"))
    assert len(pages) > 1
    assert all(page.count("Fire ban: no smoker") == 1 for page in pages)
