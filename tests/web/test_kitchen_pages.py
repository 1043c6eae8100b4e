"""The kitchen on pages: worked out, printed, used, own ingredients, syrup; on a phone and a desk in a real browser."""

from __future__ import annotations

import json
import re
from html import unescape
from io import BytesIO
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, expect
from pypdf import PdfReader
from starlette.testclient import TestClient

from tests.patty.kitchen_help import raw
from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import Page, get
from tests.web.test_browser import MEASURE, Served, browser, context, served
from tideover.figures.units import POUND_KG
from tideover.patty.kitchen.cautions import ALWAYS
from tideover.plan.settings import Settings
from tideover.web.kitchen_form import LIMIT_FIELDS, address, shown, task_from_form
from tideover.web.kitchen_syrup import syrup_line

__all__ = ["browser", "served"]


def mix_address(**changes: object) -> str:
    """The page of a changed task."""
    return address(raw(**changes))


def filled(client: TestClient) -> dict[str, str]:
    """The form of a first visit with prices put in."""
    form = get(client, "/kitchen").form("/kitchen").values
    for name, price in (("soy-flour,-defatted", "1.5"), ("yeast,-brewer's,-dried", "3"), ("egg-white,-dried", "12"),
                        ("white-sugar", "0.8"), ("rapeseed-oil", "1.5")):  # fmt: skip
        form[f"price_{name}"] = price
        form[f"use_{name}"] = "1"
    return form


def test_first_visit_asks_and_warns(client: TestClient) -> None:
    """A form, the cautions, a link in the head; nothing worked out, nothing made up."""
    page = get(client, "/kitchen")
    assert "/kitchen" in page.links
    words = page.words()
    for part in ("What do you want to mix?", *(c.text for c in ALWAYS)):
        assert part in words, part
    assert "Batch sheet" not in words
    assert page.crossed == []
    assert page.inline == []
    assert len(page.ids) == len(set(page.ids))


def test_form_leads_to_a_mix_in_the_address(client: TestClient, desk: FakeDesk) -> None:
    """Post, then a page that can be kept; the books are not touched."""
    before = desk.books.version()
    answer = client.post("/kitchen", data=filled(client))
    assert answer.status_code == 303
    page = get(client, answer.headers["location"])
    words = page.words()
    for part in ("Amino acid score", "Softness", "would save about", "falls short", "g of pollen", "Order of mixing"):
        assert part in words, part
    assert desk.books.version() == before
    # what was typed is still there
    form = page.form("/kitchen").values
    assert form["price_soy-flour,-defatted"] == "1.5"
    again = client.post("/kitchen", data=form)
    assert again.headers["location"] == answer.headers["location"]


def test_mix_without_prices_says_what_to_enter(client: TestClient) -> None:
    """Not known is not free."""
    form = get(client, "/kitchen").form("/kitchen").values
    page = client.get(client.post("/kitchen", data=form).headers["location"])
    # with no price at all there is nothing to work out, and no batch of water is made of it
    assert page.status_code == 422
    assert "Enter what things cost" in page.text
    assert "smallest change" not in page.text
    form |= {"price_soy-flour,-defatted": "1.5", "price_white-sugar": "0.8", "price_rapeseed-oil": "1.5"}
    page = client.get(client.post("/kitchen", data=form).headers["location"])
    assert page.status_code == 200
    assert unescape(page.text).count("yeast, brewer's, dried; egg white, dried have no price") == 1


def test_faults_are_listed_and_what_was_typed_is_kept(client: TestClient) -> None:
    """One sentence each."""
    form = filled(client) | {"batch": "lots", "limit_protein_min": "x"}
    answer = client.get(client.post("/kitchen", data=form).headers["location"])
    assert answer.status_code == 422
    page = Page(answer.text)
    assert "batch_kg got 'lots'" in page.words()
    assert page.form("/kitchen").values["batch"] == "lots"
    assert page.form("/kitchen").values["limit_protein_min"] == "x"


@pytest.mark.parametrize("text", ["{", "[1]", "x" * 30000, '{"ingredients": 3}', '{"aim": {"a": 1}}', '{"limits": 4}'])
def test_a_spoilt_address_is_told(client: TestClient, text: str) -> None:
    """Nobody's link breaks the page."""
    assert client.get("/kitchen?mix=" + quote(text)).status_code == 422


def test_no_mix_is_explained_with_the_mix_that_a_change_allows(client: TestClient) -> None:
    """What conflicts, the smallest change, and its result."""
    page_of = mix_address(limits={"protein_min": 25, "sugar_min": 50, "water_min": 20})
    page = get(client, page_of)
    for part in ("No mix of these meets all limits", "cannot hold together", "smallest change", "With that change"):
        assert part in page.words(), part
    assert "Use this patty for the calls" not in page.words()
    (change,) = re.findall(r'href="([^"]+)">Work with that change', client.get(page_of).text)
    changed = get(client, unescape(change)).words()
    assert "No mix of these" not in changed
    assert "Use this patty for the calls" in changed


def test_us_units_everywhere(client: TestClient) -> None:
    """Weights in pounds and ounces, prices a pound; the same mix."""
    client.cookies.set("units", "us")
    page = get(client, mix_address())
    words = page.words()
    assert "44 lb 1.5 oz" in words
    assert "USD a lb" in words
    form = page.form("/kitchen").values
    assert float(form["batch"]) == pytest.approx(20 / POUND_KG, abs=0.01)
    assert float(form["price_egg-white,-dried"]) == pytest.approx(12 * POUND_KG, abs=0.001)


def test_value_as_typed_or_turned() -> None:
    """A price a pound is a smaller number than a price a kilogram."""
    assert shown({"price_kg": "1.50"}, "price", "metric") == "1.50"
    assert shown({"price_kg": 2}, "price", "us") == f"{2 * POUND_KG:.4g}"
    assert shown({"stock_lb": 2}, "stock", "metric") == f"{2 * POUND_KG:.4g}"
    assert shown({"stock_g": "many"}, "stock", "us") == "many"
    assert shown({}, "stock", "us") == ""


def test_untouched_limits_are_left_to_the_usual_ones() -> None:
    """Only what differs stands in the address; emptied is no limit."""
    made = task_from_form(
        {"limit_protein_min": "15", "limit_ash_max": "", "limit_water_max": "20", "use_water": "1"}, []
    )
    assert made["limits"] == {"ash_max": "none", "water_max": "20"}
    assert made["ingredients"] == [{"name": "water"}]
    assert len(LIMIT_FIELDS) > 10


def test_batch_sheet_as_pdf(client: TestClient) -> None:
    """With the day of the desk on its labels."""
    answer = client.get(mix_address().replace("/kitchen", "/kitchen/batch.pdf") + "&paper=letter")
    assert answer.headers["content-type"] == "application/pdf"
    reader = PdfReader(BytesIO(answer.content))
    assert float(reader.pages[0].mediabox.width) == 612
    assert "2026-08-04" in reader.pages[-1].extract_text()
    assert client.get("/kitchen/batch.pdf").status_code == 422


def test_mix_is_kept_as_the_file_the_command_takes(client: TestClient) -> None:
    """What the page gives, `tideover mix` takes."""
    answer = client.get(mix_address().replace("/kitchen", "/kitchen/mix.json"))
    assert json.loads(answer.text) == raw()


def test_use_for_the_calls_changes_three_settings(client: TestClient, desk: FakeDesk) -> None:
    """Only with the page's own token."""
    form = get(client, mix_address()).form("/kitchen/use").values
    assert client.post("/kitchen/use", data=form | {"token": "no"}).status_code == 403
    assert "patty_protein" not in desk.books.settings()
    answer = client.post("/kitchen/use", data=form)
    assert answer.status_code == 303
    page = get(client, answer.headers["location"])
    assert "The calls reckon with this patty" in page.words()
    back = page.form("/kitchen/use/back").values
    held = desk.books.settings()
    assert Settings.from_mapping(
        {k: v for k, v in held.items() if k.startswith("patty")}
    ).patty_protein == pytest.approx(18.0, abs=0.05)
    # undone: what the calls took before, the usual patty of no settings at all
    assert client.post("/kitchen/use/back", data=back | {"was": '{"patty_protein": 900}'}).status_code == 422
    assert client.post("/kitchen/use/back", data=back | {"token": "no"}).status_code == 403
    answer = client.post("/kitchen/use/back", data=back)
    assert "The settings are as they were" in get(client, answer.headers["location"]).words()
    held = desk.books.settings()
    assert Settings.from_mapping({k: v for k, v in held.items() if k.startswith("patty")}) == Settings()


def test_own_ingredient_is_kept_shown_used_and_taken_out(client: TestClient, desk: FakeDesk) -> None:
    """From a label to a mix."""
    form = get(client, "/kitchen/book").form("/kitchen/book").values | {
        "name": "barn flour",
        "protein": "44",
        "fat": "2",
    }
    assert client.post("/kitchen/book", data=form | {"protein": "lots"}).status_code == 422
    assert client.post("/kitchen/book", data=form).status_code == 303
    words = get(client, "/kitchen/book").words()
    assert "Barn flour" in words
    assert "not known" in words
    assert "barn flour" in get(client, "/kitchen").words().lower()
    out = get(client, "/kitchen/book").form("/kitchen/book/remove").values
    answer = client.post("/kitchen/book/remove", data=out)
    assert answer.status_code == 303
    assert desk.books.settings()["ingredients"] == []
    # and back again, as it was
    page = get(client, answer.headers["location"].split("#")[0])
    assert "barn flour was taken out" in page.words()
    assert client.post("/kitchen/book/back", data=page.form("/kitchen/book/back").values).status_code == 303
    (held,) = desk.books.settings()["ingredients"]
    assert (held["name"], held["protein"], held["fat"]) == ("barn flour", "44", "2")


def test_own_ingredient_is_changed(client: TestClient, desk: FakeDesk) -> None:
    """Its form holds what was written; keeping it again writes over it, sugar of the simple kind included."""
    blank = get(client, "/kitchen/book").form("/kitchen/book").values
    first = blank | {"name": "barn syrup", "group": "syrup", "sugar": "70", "water": "[28:30]", "simple": "0,5"}
    assert client.post("/kitchen/book", data=first).status_code == 303
    form = get(client, "/kitchen/book?change=barn%20syrup").form("/kitchen/book").values
    assert (form["name"], form["sugar"], form["water"], form["simple"]) == ("barn syrup", "70", "[28:30]", "0,5")
    assert client.post("/kitchen/book", data=form | {"sugar": "71", "simple": "1"}).status_code == 303
    (held,) = desk.books.settings()["ingredients"]
    assert (held["sugar"], held["simple"]) == ("71", "1")
    assert client.post("/kitchen/book", data=form | {"simple": "half"}).status_code == 422
    # a name that is not there, and an address that was spoilt, are no fault of the program
    assert client.get("/kitchen/book?change=nothing&gone=%7B").status_code == 200


def test_prices_are_kept_when_asked_and_stand_in_the_next_mix(client: TestClient, desk: FakeDesk) -> None:
    """Price and bag of what was ticked, in either unit; what is in the shed is not kept, and nothing is unasked."""
    form = filled(client) | {"bag_white-sugar": "25", "stock_white-sugar": "3"}
    assert client.post("/kitchen", data=form).status_code == 303
    assert "kitchen_prices" not in desk.books.settings()
    client.post("/kitchen", data=form | {"remember": "1"})
    held = desk.books.settings()["kitchen_prices"]
    assert held["white sugar"] == {"price_kg": "0.8", "bag_kg": "25"}
    again = get(client, "/kitchen").form("/kitchen").values
    assert (again["price_white-sugar"], again["bag_white-sugar"], again["stock_white-sugar"]) == ("0.8", "25", "")
    # what has a price is what is ticked, and water
    assert {n for n in again if n.startswith("use_")} == {n for n in form if n.startswith("use_")}
    client.cookies.set("units", "us")
    assert float(get(client, "/kitchen").form("/kitchen").values["price_white-sugar"]) == pytest.approx(
        0.8 * POUND_KG, rel=1e-3
    )
    client.cookies.delete("units")
    # a price taken away is forgotten, the others stay
    client.post("/kitchen", data=again | {"price_white-sugar": "", "bag_white-sugar": "", "remember": "1"})
    assert set(desk.books.settings()["kitchen_prices"]) == set(held) - {"white sugar"}


def test_budget_that_is_too_small_says_what_it_takes(client: TestClient) -> None:
    """The least that a mix costs with no other limit changed, and one tap to spend it."""
    page = get(client, mix_address(budget=5))
    words = page.words()
    (needed,) = re.findall(r"Or spend ([\d.]+) USD, and no other limit need change", words)
    link = next(a for a in page.links if f"budget%22%3A%22{needed}" in a)
    again = get(client, link).words()
    assert "No mix of these" not in again
    assert "Amino acid score" in again
    assert "No mix of these" in get(client, mix_address(budget=float(needed) - 0.02)).words()


def test_book_shows_every_ingredient_with_its_source(client: TestClient) -> None:
    """Ids where the table has one."""
    words = get(client, "/kitchen/book").words()
    for part in (
        "NDB 16117",
        "NRC16F23",
        "Honey",
        "not known (0–3.1)",
        "threonine 2.04, valine 2.35",
        "0.82, methionine",
    ):
        assert part in words, part


def test_syrup_in_both_units(client: TestClient) -> None:
    """2:1 by weight, 4 L: by hand 3.538 kg sugar, 1.3268 kg a litre; a gallon becomes about 7.2 lb of stores.

    Density 1326.75 kg/m3 at 66.667 % by ICUMSA SPS-4 (by hand): 1.32675 x 3.785412 / 0.45359237 = 11.07 lb a gallon.
    """
    words = get(client, "/kitchen/syrup?sugar=2&water=1&how=weight&amount=4").words()
    assert "3.54 kg" in words
    assert "66.7 %" in words
    assert "a litre weighs 1.327 kg" in words
    client.cookies.set("units", "us")
    words = get(client, "/kitchen/syrup?amount=1").words()
    assert "7.38 lb" in words
    assert "7.2 lb" in words
    assert "a gallon weighs 11.07 lb" in words


@pytest.mark.parametrize("query", ["sugar=x", "sugar=0", "amount=-1", "sugar=1e9", "water=nan"])
def test_bad_syrup_is_told(client: TestClient, query: str) -> None:
    """A sentence instead of a table."""
    assert client.get(f"/kitchen/syrup?{query}").status_code == 422


def test_too_much_sugar_is_said() -> None:
    """Over 67 % crystallises at 20 C (Mohos 2010)."""
    from tideover.patty.kitchen.syrup import Syrup

    assert "crystallise" in syrup_line("3:1", Syrup(3, 1), "us").note


@pytest.mark.browser
@pytest.mark.parametrize("size", ["phone", "desk"])
def test_kitchen_pages_are_sound(browser: Browser, served: Served, size: str) -> None:
    """No console errors, no sideways scroll, targets of 44 px, contrast of 7 to 1, labels, one heading, large type."""
    with context(browser, size) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        errors: list[str] = []
        page.on("console", lambda m: errors.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: errors.append(str(e)))
        none = mix_address(limits={"protein_min": 25, "sugar_min": 50, "water_min": 20})
        for path in ("/kitchen", mix_address(), none, "/kitchen/book", "/kitchen/syrup"):
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
def test_patty_by_thumb(browser: Browser, served: Served) -> None:
    """Prices typed on a phone, the mix worked out, then used for the calls."""
    with context(browser, "phone", script=False) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/kitchen")
        for name, price in (("soy-flour,-defatted", "1.5"), ("egg-white,-dried", "12"), ("white-sugar", "0.8"),
                            ("rapeseed-oil", "1.5")):  # fmt: skip
            page.locator(f'[name="price_{name}"]').fill(price)
        page.get_by_role("button", name="Work it out").tap()
        expect(page.get_by_role("link", name="Batch sheet, A4")).to_be_visible()
        page.get_by_text("Let the calls reckon with it").tap()
        page.get_by_role("button", name="Use this patty for the calls").tap()
        expect(page.get_by_text("The calls reckon with this patty")).to_be_visible()
        assert served.desk.books.settings()["patty_protein"] > 10


def test_own_need_is_typed_kept_and_held(client: TestClient) -> None:
    """What was typed is in the address, in the form again, and in the answer."""
    answer = client.post("/kitchen", data=filled(client) | {"need_met": "1.8"})
    page = get(client, answer.headers["location"])
    assert page.form("/kitchen").values["need_met"] == "1.8"
    assert "your own, after adult workers, 1953" in page.words()
    wrong = client.post("/kitchen", data=filled(client) | {"need_met": "much"})
    assert "need: met got" in client.get(wrong.headers["location"]).text


def test_batch_is_written_in_the_books_and_its_pieces_are_known(client: TestClient, desk: FakeDesk) -> None:
    """An entry at the yard's store with what the calls and the cold box need; a bad label or yard is told."""
    page = get(client, mix_address(name="August patty"))
    form = page.form("/kitchen/keep").values
    assert form["batch"] == "AUGUST-PATTY"
    assert client.post("/kitchen/keep", data=form | {"token": "no"}).status_code == 403
    assert client.post("/kitchen/keep", data=form | {"yard": "nowhere"}).status_code == 422
    assert desk.books.entries(kind="batch") == []
    answer = client.post("/kitchen/keep", data=form)
    assert answer.status_code == 303
    (entry,) = desk.books.entries(kind="batch")
    v = entry.values
    assert (v["batch"], v["weight"], v["origin"]) == ("AUGUST-PATTY", 20000.0, "mixed")
    # 18 % asked for, and the mix has no more than it must
    assert v["protein"] == pytest.approx(18.0, abs=0.05)
    assert v["counted_protein"] == pytest.approx(18.0, abs=0.05)
    low, middle, high = (float(str(v[k])) for k in ("worth_low", "worth", "worth_high"))
    assert low < middle < high
    assert json.loads(str(v["recipe"]))["aim"] == "cheapest"
    assert 40.0 <= float(str(v["sugar_share"])) <= 55.0
    assert float(str(v["hard_after"])) >= 3.0


def test_stock_stands_in_kitchen_and_cold_box(client: TestClient, desk: FakeDesk) -> None:
    """A batch written down is said in both rooms, with the yards it stands for and a way to mix it again."""
    assert "No batch of known protein is in stock" in get(client, "/kitchen").words()
    form = get(client, mix_address(name="August patty")).form("/kitchen/keep").values
    client.post("/kitchen/keep", data=form)
    for where in ("/kitchen", "/coldbox"):
        page = get(client, where)
        said = "for it at" if where == "/kitchen" else "for this batch at"
        assert f"The calls take a new piece {said} Quarry, Mill Race, Long Fallow" in page.words().replace(
            "Long Fallow, Mill Race, Quarry", "Quarry, Mill Race, Long Fallow"
        )
        assert "A kilogram does the work of about" in page.words()
        (again,) = [a for a in page.links if a.startswith("/kitchen?mix=")]
        assert "Batch sheet" in get(client, again).words()
    client.cookies.set("units", "us")
    assert "A pound does the work of about" in get(client, "/coldbox").words()
    desk.books.put_settings({"patty_from": "settings"})
    assert "that is turned off in the settings" in get(client, "/kitchen").words()


def test_worth_in_both_units() -> None:
    """By hand: 350 g a kilogram is 0.35, so 0.35 x 16 = 5.6 oz a pound."""
    from tideover.patty.kitchen.words import worth_words

    assert "350 g of pollen (100 to 700 g)" in worth_words(100.0, 350.0, 700.0)
    assert "5.6 oz of pollen (1.6 to 11.2 oz)" in worth_words(100.0, 350.0, 700.0, "us")
    # a tenth of feedings do nothing: the low end is said in a word, not as a figure
    assert "350 g of pollen (nothing to 700 g)" in worth_words(0.0, 350.0, 700.0)
    assert "5.6 oz of pollen (nothing to 11.2 oz)" in worth_words(0.0, 350.0, 700.0, "us")
