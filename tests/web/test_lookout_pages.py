"""The lookout, the minute at the entrance and the plants of a yard, in a real browser and without one."""

from __future__ import annotations

import html
import io
import re
from datetime import UTC, date, datetime, timedelta

import pytest
from playwright.sync_api import Browser, expect
from pypdf import PdfReader
from starlette.testclient import TestClient

from tests.web.fake_desk import TODAY, FakeDesk
from tests.web.reading_pages import get
from tests.web.test_browser import MEASURE, SIZES, Served, browser, context, served
from tideover.desk.lookout import lookout
from tideover.desk.lookout_words import lookout_words
from tideover.desk.neighbours import YardSaid
from tideover.evidence.known import LandSaid
from tideover.forage.bloom import Plant, catalogue
from tideover.records import Yard, new_entry
from tideover.records.entries import Units
from tideover.web.lookout_pages import plant_groups

__all__ = ["browser", "served"]  # fixtures
PAGES = ("/lookout", "/yard/quarry/entrance", "/yard/quarry/plants", "/yard/quarry")


def fill(desk: FakeDesk) -> None:
    """A drying half year at one yard, with notes."""
    made = []
    noon = datetime(TODAY.year, TODAY.month, TODAY.day, 19, tzinfo=UTC)
    for k in range(1, 150):
        at = noon - timedelta(days=k)
        hot = 39.0 - 0.12 * k
        values = {"temp_max": hot, "temp_min": hot - 16.0, "rain": 7.0 if k > 90 and k % 4 == 0 else 0.0}
        made.append(new_entry("weather day", "quarry", None, at, values, at))
    for k, word in ((70, "abundant"), (40, "some"), (20, "few"), (5, "none")):
        at = noon - timedelta(days=k)
        made.append(new_entry("bloom note", "quarry", None, at, {"bloom": word}, at))
    desk.books.add(made)


@pytest.mark.browser
@pytest.mark.parametrize("size", list(SIZES))
def test_pages_are_sound(browser: Browser, served: Served, size: str) -> None:
    """As every page: no errors, no sideways scroll, 44 px targets, contrast of 7 to 1, labels (WCAG 2.2 AAA criteria)."""
    fill(served.desk)
    with context(browser, size) as c:
        page = c.new_page()
        page.set_default_timeout(15000)
        errors: list[str] = []
        page.on("console", lambda m: errors.append(f"{page.url}: {m.text}") if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: errors.append(f"{page.url}: {e}"))
        for path in PAGES:
            page.goto(served.address + path)
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            got = page.evaluate(MEASURE)
            assert got["wide"] <= 0, path
            assert got["small"] == [], path
            assert got["dim"] == [], path
            assert got["tiny"] == [], path
            assert got["unlabelled"] == [], path
            assert got["heads"] == 1, path
        assert errors == []


@pytest.mark.browser
def test_yards_stand_side_by_side_on_a_desk_and_under_one_another_on_a_phone(browser: Browser, served: Served) -> None:
    """The second yard begins right of the first, or below it."""
    for size, beside in (("desk", True), ("phone", False)):
        with context(browser, size) as c:
            page = c.new_page()
            page.set_default_timeout(15000)
            page.goto(served.address + "/lookout")
            boxes = [e.bounding_box() for e in page.locator("section.yard").all()]
            first, second = boxes[0], boxes[1]
            assert first is not None
            assert second is not None
            assert (second["x"] > first["x"] + 100) is beside
            tops = [e.bounding_box() for e in page.locator("section.yard figure").all()]
            if beside:
                # words of different length stand above them, and yet the strips can be compared
                assert abs(tops[0]["y"] - tops[1]["y"]) < 1  # type: ignore[index]


@pytest.mark.browser
def test_a_minute_by_tap(browser: Browser, served: Served) -> None:
    """Two big buttons, a minute that stops them, one tap taken back, and grams a day after writing."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.clock.install()
        page.goto(f"{served.address}/yard/quarry/entrance")
        page.get_by_label("Hive").select_option("quarry-02")
        plain, pollen = page.get_by_role("button", name="Bee in"), page.get_by_role("button", name="Bee with pollen")
        for button in (plain, pollen):
            box = button.bounding_box()
            assert box is not None
            assert box["height"] >= 110
        # nothing lies over what is tapped, on a high or a low screen; what is below the fold is not asked for
        for height in (844, 760, 640):
            page.set_viewport_size({"width": 390, "height": height})
            covered = page.evaluate(
                "[...document.querySelectorAll('.taps button')].filter(b => { const r = b.getBoundingClientRect();"
                " return [r.top + 4, r.bottom - 4].some(y => y < innerHeight"
                " && !b.contains(document.elementFromPoint(r.left + 9, y))); }).map(b => b.textContent)"
            )
            assert covered == [], height
        for _ in range(5):
            plain.tap()
        for _ in range(3):
            pollen.tap()
        page.get_by_role("button", name="Undo a tap").tap()
        assert page.get_by_label("Bees in, all of them").input_value() == "7"
        assert page.get_by_label("Of these with pollen").input_value() == "2"
        # the tally stands beside the clock, since the fields are below the fold while one taps
        expect(page.get_by_text("7 bees in, 2 of them with pollen")).to_be_in_viewport()
        page.clock.run_for(61_000)
        expect(plain).to_be_disabled()
        # yesterday morning, since in the dark it says that no pollen is fetched
        at = page.locator("[name=at]")
        day = date.fromisoformat(at.input_value()[:10]) - timedelta(days=1)
        at.fill(f"{day}T09:30")
        page.get_by_role("button", name="Write it down").tap()
        expect(page.get_by_text("2 of 7 bees carried pollen")).to_be_visible()
        expect(page.get_by_text("of pollen")).not_to_have_count(0)
        entry = served.desk.books.entries(kind="entrance count", hive="quarry-02")[-1]
        assert entry.values == {"minutes": 1.0, "bees_in": 7, "with_pollen": 2}


@pytest.mark.browser
def test_a_minute_without_scripts(browser: Browser, served: Served) -> None:
    """The plain form takes the numbers, shows a mistake with all else kept, and can be undone."""
    with context(browser, "phone", script=False) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/yard/quarry/entrance")
        assert page.get_by_role("button", name="Bee with pollen").is_hidden()
        page.get_by_label("Bees in, all of them").fill("20")
        page.get_by_label("Of these with pollen").fill("30")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_role("alert")).to_be_visible()
        assert page.get_by_label("Bees in, all of them").input_value() == "20"
        page.get_by_label("Of these with pollen").fill("6")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("6 of 20 bees carried pollen: 30 %")).to_be_visible()
        page.get_by_role("button", name="Undo").click()
        assert served.desk.books.entries(kind="entrance count") == []


def test_lookout_says_it_plainly_and_draws_the_season(client: TestClient, desk: FakeDesk) -> None:
    """Headline, strip with every row, sources; the drawing has its own words for those who do not see it."""
    fill(desk)
    page = client.get("/lookout")
    assert page.status_code == 200
    assert "what a strong hive needs" in page.text
    for row in ("pollen", "bloom", "heat", "rain", "soil water", "drought", "today", "dearth"):
        assert f">{row}</text>" in page.text, row
    assert 'aria-label="Season at Quarry: Pollen on offer yesterday' in page.text
    assert "OSHA" in page.text
    assert " style=" not in page.text


def test_lookout_shows_the_strip_at_once_and_then_what_hives_stored(client: TestClient, desk: FakeDesk) -> None:
    """While hives are being read the strip stands without them and says so; once they are, it hears them."""
    fill(desk)
    said = YardSaid((LandSaid("quarry-01", "e", TODAY - timedelta(days=20), TODAY, 0.5, 4.0),), ("quarry-01",))
    desk.said_by_now["quarry"] = YardSaid(waiting=True)
    first = " ".join(get(client, "/lookout").text)
    assert "What the hives stored is not in it yet" in first
    desk.said_by_now["quarry"] = said
    second = " ".join(get(client, "/lookout").text)
    assert "What the hives stored is in it, from its one hive (quarry-01)." in second
    assert "not in it yet" not in second


@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_sentence_of_the_command_stands_on_the_page(client: TestClient, desk: FakeDesk, units: Units) -> None:
    """Same words and same numbers, ranges too, in either system."""
    fill(desk)
    client.cookies.set("units", units)
    page = " ".join(client.get("/lookout").text.split())
    told = html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))).replace("\u2060", "")
    said = {y.id: desk.yard_said_by_now(y.id) for y in desk.books.yards()}
    lines = [line for indent, line in lookout_words(lookout(desk.books, desk.today(), None, units, said)) if indent]
    assert len(lines) > 10
    assert any("of the pollen its brood needs" in line for line in lines)
    for line in lines:
        sentence = (
            re.sub(r" \([^()]*(\([^()]*\))?\)$", "", line) if line.startswith(("Heat", "Drought", "Fire")) else line
        )
        assert sentence in told, line


def test_the_day_of_a_look_stands_before_the_strip_while_pollen_is_perhaps_back(
    client: TestClient, desk: FakeDesk
) -> None:
    """Weeks of none in flower, then plenty for a few days: in doubt, and where and when to look comes under the words."""
    fill(desk)
    noon = datetime(TODAY.year, TODAY.month, TODAY.day, 19, tzinfo=UTC)
    told = [(k, "none") for k in (49, 42, 35, 28, 21, 14)] + [(k, "abundant") for k in range(5)]
    at = [(noon - timedelta(days=k), word) for k, word in told]
    desk.books.add([new_entry("bloom note", "quarry", None, when, {"bloom": word}, when) for when, word in at])
    (yard,) = lookout(desk.books, desk.today(), "quarry").yards
    assert yard.alert.state == "perhaps back"
    assert "as sure from about" in yard.headline
    assert "would tell most" in yard.look
    page = client.get("/lookout").text
    section = page[page.index('id="l-quarry"') :]
    assert 0 < section.index("as sure from about") < section.index("would tell most") < section.index("<figure")


def test_lookout_over_empty_books(empty_client: TestClient) -> None:
    """A way on instead of nothing."""
    assert "No yard is in the books yet" in empty_client.get("/lookout").text


def test_entrance_refuses_other_sites_and_unknown_hives(client: TestClient, desk: FakeDesk) -> None:
    """No token, no entry; a hive of another yard is refused by name."""
    form = get(client, "/yard/quarry/entrance").form("/yard/quarry/entrance")
    given = form.values | {"bees_in": "9", "with_pollen": "1", "minutes": "1", "hive": "quarry-01"}
    assert client.post("/yard/quarry/entrance", data={**given, "token": "x"}).status_code == 403
    bad = client.post("/yard/quarry/entrance", data={**given, "hive": "mill-race-01"})
    assert bad.status_code == 422
    assert "mill-race-01" in bad.text
    assert desk.books.entries(kind="entrance count") == []


def test_same_form_sent_twice_writes_once(client: TestClient, desk: FakeDesk) -> None:
    """Sticky gloves."""
    form = get(client, "/yard/quarry/entrance").form("/yard/quarry/entrance")
    given = form.values | {"bees_in": "9", "with_pollen": "1", "minutes": "1", "hive": "quarry-01"}
    for _ in range(2):
        assert client.post("/yard/quarry/entrance", data=given).status_code == 303
    assert len(desk.books.entries(kind="entrance count")) == 1


def test_plants_of_a_yard_are_kept_with_changed_months(client: TestClient, desk: FakeDesk) -> None:
    """Only what grows there is kept; months that were changed are kept, the catalogue's are not; a mistake keeps all."""
    form = get(client, "/yard/quarry/plants").form("/yard/quarry/plants")
    given = form.values | {"amount.retama": "2", "amount.cotton": "1", "months.cotton": "7-9"}
    wrong = client.post("/yard/quarry/plants", data={**given, "months.retama": "May"})
    assert wrong.status_code == 422
    assert "such as 4-6" in wrong.text
    assert client.post("/yard/quarry/plants", data=given).status_code == 303
    kept = desk.books.settings()["bloom:quarry"]
    assert {k["plant"]: k for k in kept} == {
        "retama": {"plant": "retama", "amount": 2},
        "cotton": {"plant": "cotton", "amount": 1, "months": [[7, 9]]},
    }
    assert "now in flower: retama, cotton" in client.get("/lookout").text


def test_plants_stand_under_the_month_they_open_next() -> None:
    """By hand: months 12-2 are in flower in January; 3-4 opens in two months from it; south of the equator in September."""
    plants = [Plant("a", "a", months=((12, 2),)), Plant("b", "b", months=((3, 4),)), Plant("c", "c", months=((7, 8),))]
    lines = [(plants[0], 0, ""), (plants[1], 0, ""), (plants[2], 1, "")]
    got = [(head, [p.id for p, _, _ in part]) for head, part in plant_groups(lines, 1, south=False)]
    assert got == [("On this yard's list", ["c"]), ("In flower in January", ["a"]), ("Opens in March", ["b"])]
    south = [(head, [p.id for p, _, _ in part]) for head, part in plant_groups(lines, 9, south=True)]
    assert south == [("On this yard's list", ["c"]), ("In flower in September", ["b"]), ("Opens in June", ["a"])]


def test_every_plant_of_the_catalogue_stands_once_on_the_page(client: TestClient) -> None:
    """Under one heading each, so that a form holds each name once."""
    page = client.get("/yard/quarry/plants").text
    for plant in catalogue():
        assert page.count(f'name="amount.{plant}"') == 1


@pytest.mark.browser
def test_plants_are_found_by_typing(browser: Browser, served: Served) -> None:
    """Typing leaves the plants that fit, opens their headings and says how many; emptied, all are back."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.goto(served.address + "/yard/quarry/plants")
        box = page.get_by_label("Find a plant")
        box.fill("mesquite")
        expect(page.locator("[data-found]")).to_contain_text(" plants fit")
        shown = page.locator("[data-plant]:visible legend").all_inner_texts()
        assert shown
        assert all("mesquite" in text.lower() for text in shown)
        box.press("Enter")
        assert page.url.endswith("/plants")
        box.fill("")
        assert page.locator("[data-group]:visible").count() > 3


def test_many_yards_come_in_parts(client: TestClient, desk: FakeDesk) -> None:
    """Nine more yards: eight on a page, the rest behind a link, and back; a mad number is the first page."""
    for k in range(9):
        desk.books.put_yard(Yard(f"z{k}", f"Zone {k}", 37.0, -120.0, "America/Los_Angeles"))
    total = len(desk.books.yards())
    one = client.get("/lookout").text
    assert one.count('<section class="yard"') == 8
    assert f"Yards 1 to 8 of {total}." in one
    assert "Yards before" not in one
    two = client.get("/lookout?from=8").text
    assert two.count('<section class="yard"') == total - 8
    assert 'href="/lookout?from=0"' in two
    assert "More yards" not in two
    assert client.get("/lookout?from=-3").text.count('<section class="yard"') == 8


def test_weather_file_by_the_bring_page(client: TestClient, desk: FakeDesk) -> None:
    """For the yard chosen; not chosen, one sentence names the yards; a bad line changes nothing and is listed."""
    table = "date,temp_max_f,temp_min_f,rain_in\n2025-07-01,100,68,0\n2025-07-02,104,70,0.1\n"
    form = get(client, "/bring").form("/bring")
    before = desk.books.version()
    unsaid = client.post("/bring", data=form.values, files=[("files", ("airport.csv", table))])
    assert unsaid.status_code == 422
    assert "say which yard it is for" in unsaid.text
    bad = client.post(
        "/bring", data={**form.values, "yard": "quarry"},
        files=[("files", ("airport.csv", table + "2025-07-03,hot,70,0\n"))],
    )  # fmt: skip
    assert bad.status_code == 422
    assert "airport.csv, line 4" in bad.text
    assert desk.books.version() == before
    done = client.post("/bring", data={**form.values, "yard": "quarry"}, files=[("files", ("airport.csv", table))])
    assert done.status_code == 200
    assert "quarry: added 2 weather days" in done.text
    got = desk.books.entries(kind="weather day", yard="quarry")
    assert [round(float(str(e.values["temp_max"])), 1) for e in got[-2:]] == [37.8, 40.0]


def test_lookout_in_us_units(client: TestClient, desk: FakeDesk) -> None:
    """The switch at the top holds for the words as well as for the strip (38 C is 100 F in whole degrees)."""
    fill(desk)
    client.cookies.set("units", "us")
    page = client.get("/lookout").text
    assert "°F in the next three days" in page
    assert "gallons for" in page or "quarts for" in page
    assert "100 °F" in page
    assert "100.4" not in page
    assert " litres of water a hive" not in page
    client.cookies.set("units", "metric")
    assert "°C in the next three days" in client.get("/lookout").text


def test_strips_are_explained_once_and_in_the_readers_units(desk: FakeDesk, client: TestClient) -> None:
    """One key for all yards; the drought index beside its row in millimetres, or on the scale to 800."""
    fill(desk)
    page = client.get("/lookout").text
    assert page.count("How to read the strips") == 1
    assert re.search(r">\d+ mm</text>", page)
    assert "/800<" not in page
    client.cookies.set("units", "us")
    page = client.get("/lookout").text
    assert "/800<" in page
    # whole degrees and hundredths of an inch, not 98.6 and nought
    assert re.search(r">\d+ °F</text>", page)
    assert re.search(r">\d\.\d\d in\*</text>", page)
    assert "the dotted line is 100 °F" in page
    assert not re.search(r">\d+ mm</text>", page)


def test_a_bloom_note_offers_the_yards_plants_first(desk: FakeDesk, client: TestClient) -> None:
    """Names as the list has them, since another spelling would teach nothing of a plant."""
    offered = re.findall(r'<option value="([^"]+)">', client.get("/yard/quarry/write/bloom-note").text)
    assert len(offered) == len(catalogue())
    assert offered == sorted(offered)
    last = max(catalogue().values(), key=lambda p: p.common)
    desk.books.put_settings({"bloom:quarry": [{"plant": last.id, "amount": 2}]})
    offered = re.findall(r'<option value="([^"]+)">', client.get("/yard/quarry/write/bloom-note").text)
    assert offered[0] == last.common
    assert len(offered) == len(catalogue())


def test_lines_are_broken_where_nothing_was_measured(desk: FakeDesk, client: TestClient) -> None:
    """Weather for half a year: heat unbroken to today. Ten of its days taken out: broken there, and rain not summed."""
    fill(desk)
    whole = client.get("/lookout").text
    old = desk.books.entries(kind="weather day", yard="quarry")[-20:-10]
    desk.books.add([new_entry("withdraw", "quarry", None, e.at, {}, e.at, supersedes=e.id) for e in old])
    holed = client.get("/lookout").text
    assert holed.count('class="median ahead"') == whole.count('class="median ahead"') + 3
    assert re.search(r">[\d.]+ mm\*<", whole)
    assert not re.search(r">[\d.]+ mm\*<", holed)
    # drought and soil water of a month whose rain is not known are no readings either
    assert re.search(r">\d+ mm<", whole)
    assert not re.search(r">\d+ mm<", holed)


@pytest.mark.browser
def test_the_lookout_prints_from_the_first_page_on(browser: Browser, served: Served) -> None:
    """On paper the first yard stands under the heading, not on a page of its own, and nothing folded is left there."""
    fill(served.desk)
    with context(browser, "desk") as c:
        page = c.new_page()
        page.set_default_timeout(15000)
        page.goto(f"{served.address}/lookout")
        pages = [" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages]
        first, whole = pages[0], " ".join(pages)
    assert "of what a strong hive needs" in first
    assert "Heat index" in first
    assert "How to read the strips" not in whole
    assert "Where bands and needs come from" in whole
    assert len(pages) <= 3
