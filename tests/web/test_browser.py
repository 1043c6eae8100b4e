"""The pages in a real browser: a phone and a desk, by finger, by keyboard, and without scripts."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, expect, sync_playwright

from tests.web.conftest import PATIENCE_S
from tests.web.fake_desk import FLAGGED, FakeDesk
from tideover.web import create_app
from tideover.web.server import free_socket

pytestmark = pytest.mark.browser

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"phone": (390, 844), "desk": (1280, 900)}
PAGES = (
    "/",
    "/hive/quarry-01",
    "/hive/quarry-01/card",
    "/calendar",
    "/labels",
    "/hive/long-fallow-01/card",
    "/hive/quarry-02/card",
    "/hive/mill-race-01/look",
    "/hive/quarry-01/combs",
    "/hive/quarry-01/write/laid-on",
    "/hive/quarry-01/write/mite-wash",
    "/hive/quarry-01/write/entrance-count",
    "/hive/quarry-01/write/event",
    "/yard/quarry",
    "/yard/quarry/write/batch",
    "/coldbox",
    "/hive/quarry-01/write/cold-box",
    "/yard/quarry/write/bloom-note",
    "/yard/quarry/change",
    "/new-yard",
    f"/entry/{FLAGGED}/correct",
    "/figures",
    "/figures?q=beetle",
    "/checks",
    "/rounds",
    "/settings",
    "/bring",
    "/lookout",
    "/yard/quarry/entrance",
    "/yard/quarry/plants",
    "/safety",
    "/hive/nobody",
)


STARTED: list[Browser] = []
"""The browser of this run, once it is up."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests."""
    path = os.environ.get("TIDEOVER_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not path or not os.path.exists(path):
        pytest.fail("No chromium was found: install Debian's 'chromium', or name one in TIDEOVER_CHROMIUM.")
    if STARTED:
        # another module borrows this fixture: a second driver in one process is not allowed, so it shares the first
        yield STARTED[0]
        return
    with sync_playwright() as p:
        started = p.chromium.launch(executable_path=path, args=FLAGS)
        STARTED.append(started)
        yield started
        STARTED.clear()
        started.close()


@dataclass
class Served:
    """Pages being served, and the desk behind them."""

    address: str
    desk: FakeDesk


@pytest.fixture
def served(desk: FakeDesk) -> Iterator[Served]:
    """The pages on a free port."""
    bound: socket.socket = free_socket("127.0.0.1", 0)
    server = uvicorn.Server(
        uvicorn.Config(create_app(desk, patience_s=PATIENCE_S), log_level="error", access_log=False)
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
    thread.start()
    end = time.monotonic() + 15
    while not server.started and time.monotonic() < end:
        time.sleep(0.02)
    yield Served(f"http://127.0.0.1:{bound.getsockname()[1]}", desk)
    server.should_exit = True
    thread.join(10)
    bound.close()


def context(browser: Browser, size: str, script: bool = True) -> BrowserContext:
    """A fresh browser profile of that size."""
    width, height = SIZES[size]
    return browser.new_context(
        viewport={"width": width, "height": height}, has_touch=size == "phone", is_mobile=size == "phone",
        java_script_enabled=script, locale="en-US", timezone_id="America/Los_Angeles",
    )  # fmt: skip


MEASURE = """() => {
  const small = [], dim = [], tiny = [];
  const seen = e => { const r = e.getBoundingClientRect(), s = getComputedStyle(e);
    return r.width > 0 && r.height > 0 && s.visibility !== 'hidden' && r.right > 0 && r.bottom > 0; };
  for (const e of document.querySelectorAll('button, a[href], input:not([type=hidden]), select, summary, textarea')) {
    if (!seen(e)) continue;
    if (e.matches('a') && (e.closest('p') || e.closest('li') && !e.closest('nav')) && !e.matches('.button')) continue;
    const r = e.getBoundingClientRect();
    if (e.closest('h1')) continue;
    if (r.height < 43.5 || r.width < 43.5)
      small.push([e.tagName, (e.textContent || e.name).trim().slice(0, 30), r.width, r.height]);
  }
  const lum = c => { const f = c.map(v => { v /= 255; return v <= .03928 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; });
    return .2126 * f[0] + .7152 * f[1] + .0722 * f[2]; };
  const rgb = t => (t.match(/[\\d.]+/g) || []).map(Number);
  const ground = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor);
    if (c.length === 3 || c[3] === 1) return c.slice(0, 3); } return [255, 255, 255]; };
  let least = 21;
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !seen(e) || e.closest('.away, title, .skip')) continue;
    const svg = e.closest('svg'), s = getComputedStyle(e);
    const a = lum(rgb(svg ? s.fill : s.color).slice(0, 3)), b = lum(ground(e));
    const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    least = Math.min(least, ratio);
    if (ratio < 7) dim.push([walk.currentNode.data.trim().slice(0, 40), ratio]);
    if (!svg && parseFloat(s.fontSize) < 16) tiny.push([walk.currentNode.data.trim().slice(0, 40), s.fontSize]);
  }
  const unlabelled = [...document.querySelectorAll('input:not([type=hidden]), select, textarea')]
    .filter(e => !(e.labels && e.labels.length) && !e.getAttribute('aria-label')).map(e => e.name);
  return {wide: document.documentElement.scrollWidth - innerWidth, small, dim, tiny, least, unlabelled,
    body: parseFloat(getComputedStyle(document.body).fontSize), lang: document.documentElement.lang,
    heads: document.querySelectorAll('h1').length};
}"""


@pytest.mark.parametrize("size", list(SIZES))
def test_pages_are_sound(browser: Browser, served: Served, size: str) -> None:
    """No console errors, no sideways scroll, targets of 44 px, contrast of 7 to 1, labels, one heading, large type.

    44 px: WCAG 2.2, criterion 2.5.5 (AAA); 7 to 1: criterion 1.4.6 (AAA). Links inside running text are
    exempt from the size in that criterion, as are ours.
    """
    with context(browser, size) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        errors: list[str] = []
        page.on("console", lambda m: errors.append(f"{page.url}: {m.text}") if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: errors.append(f"{page.url}: {e}"))
        page.on("request", lambda r: None if r.url.startswith(served.address) else errors.append(r.url))
        for path in PAGES:
            page.goto(served.address + path)
            # a page that is still being worked out opens by itself
            page.locator("meta[http-equiv=refresh]").wait_for(state="detached", timeout=120_000)
            page.wait_for_load_state()
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            got = page.evaluate(MEASURE)
            assert got["wide"] <= 0, path
            assert got["small"] == [], path
            assert got["dim"] == [], path
            assert got["tiny"] == [], path
            assert got["unlabelled"] == [], path
            assert got["body"] >= 17
            assert got["lang"] == "en"
            assert got["heads"] == 1, path
        expected_404 = [e for e in errors if "/hive/nobody" in e and "404" in e]
        assert [e for e in errors if e not in expected_404] == []


def test_look_by_tap(browser: Browser, served: Served) -> None:
    """Steppers and chips with a thumb, the new call at the top, then undo."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(served.address)
        page.get_by_role("link", name="Look at quarry-02").tap()
        page.get_by_role("button", name="Seams of bees, medium top: more").wait_for()
        for part, taps in (("deep bottom", 3), ("medium top", 1)):
            for _ in range(taps):
                page.get_by_role("button", name=f"Seams of bees, {part}: more").tap()
        page.get_by_role("radio", name="very light").tap()
        page.get_by_text("Two combs, three minutes").tap()
        page.get_by_role("group", name="Eggs", exact=True).get_by_role("radio", name="no", exact=True).tap()
        page.get_by_role("button", name="Write it down").tap()
        expect(page.get_by_text("Written down.")).to_be_visible()
        expect(page.get_by_role("link", name="Next: look at quarry-03")).to_be_visible()
        box = page.get_by_label("The call").bounding_box()
        assert box is not None
        assert box["y"] < SIZES["phone"][1] / 2
        entry = served.desk.books.entries(kind="look", hive="quarry-02")[-1]
        assert entry.values == {"seams": (6.0, 5.0), "heft": "very light", "eggs": "no"}
        page.get_by_role("button", name="Undo").tap()
        expect(page.get_by_text("Withdrawn.")).to_be_visible()
        assert served.desk.books.entry_and_state(entry.id)[1] == "withdrawn"


def test_look_by_keyboard_alone(browser: Browser, served: Served) -> None:
    """Skip link, tab, arrows and enter reach everything; focus can be seen."""
    with context(browser, "desk") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/hive/quarry-03/look")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")  # the link back to the hive
        page.keyboard.press("Tab")  # less
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.name") == "seams__0"
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
        page.keyboard.type("6.5")
        page.keyboard.press("Tab")  # more
        page.keyboard.press("Tab")  # the chips of heft
        assert page.evaluate("document.activeElement.name") == "heft"
        page.keyboard.press("ArrowRight")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        expect(page.get_by_text("Written down.")).to_be_visible()
        entry = served.desk.books.entries(kind="look", hive="quarry-03")[-1]
        assert entry.values == {"seams": (6.5,), "heft": "light"}


def test_stepper_stays_between_its_ends(browser: Browser, served: Served) -> None:
    """Quarters of a patty are 0 to 4, whatever the thumb does."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/hive/quarry-03/look")
        field = page.get_by_label("Patty left, in quarters", exact=True)
        page.get_by_role("button", name="Patty left, in quarters: less").tap()
        assert field.input_value() == "0"
        for _ in range(20):
            page.get_by_role("button", name="Patty left, in quarters: more").tap()
        assert field.input_value() == "4"
        field.fill("2,5")
        page.get_by_role("button", name="Patty left, in quarters: more").tap()
        assert field.input_value() == "2.75"


def test_mistake_is_shown_beside_the_field_and_nothing_is_lost(browser: Browser, served: Served) -> None:
    """The sentence stands under the field; the rest is as it was typed."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/hive/quarry-01/write/mite-wash")
        page.get_by_role("textbox", name="Mites counted").fill("-4")
        page.get_by_label("Note").fill("by the shed")
        page.get_by_role("button", name="Write it down").tap()
        expect(page.get_by_text("-4 is negative")).to_be_visible()
        assert page.get_by_label("Note").input_value() == "by the shed"
        assert page.get_by_role("textbox", name="Mites counted").get_attribute("aria-invalid") == "true"


@pytest.mark.parametrize("script", [True, False])
def test_units_switch_is_remembered(browser: Browser, served: Served, script: bool) -> None:
    """From page to page, and back on the page where it was pressed."""
    with context(browser, "phone", script) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/hive/quarry-01")
        expect(page.get_by_text("455 g patty")).to_be_visible()
        page.get_by_role("button", name="lb °F").click()
        assert page.url.endswith("/hive/quarry-01")
        expect(page.get_by_text("1 lb patty")).to_be_visible()
        page.goto(f"{served.address}/hive/quarry-01/look")
        expect(page.get_by_text("Air in the shade, °F")).to_be_visible()
        assert page.get_by_role("button", name="lb °F").get_attribute("aria-pressed") == "true"


def test_everything_works_without_scripts(browser: Browser, served: Served) -> None:
    """Filter, look with a fold opened, mistake, correction and withdrawal, by plain forms."""
    with context(browser, "phone", script=False) as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(served.address)
        page.locator("select[name=yard]").select_option("quarry")
        page.get_by_role("button", name="Show", exact=True).click()
        assert page.locator(".line").count() == 4
        page.get_by_role("link", name="Look at quarry-01").click()
        expect(page.locator(".step").first).to_be_visible()
        expect(page.locator(".step button").first).to_be_hidden()
        page.get_by_label("deep", exact=True).fill("7")
        page.get_by_text("Two combs, three minutes").click()
        page.get_by_role("textbox", name="Capped brood, quarter sides").fill("14")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("14 is above what is possible")).to_be_visible()
        page.get_by_role("textbox", name="Capped brood, quarter sides").fill("4")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("Written down.")).to_be_visible()
        entry = served.desk.books.entries(kind="look", hive="quarry-01")[-1]
        assert entry.values == {"seams": (7.0,), "capped_quarters": 4.0}
        page.get_by_role("link", name="Correct it").click()
        page.get_by_label("deep", exact=True).fill("9")
        page.get_by_role("button", name="Write the correction").click()
        assert served.desk.books.entry_and_state(FLAGGED)[1] == "corrected"


def test_double_tap_writes_once(browser: Browser, served: Served) -> None:
    """Sticky gloves press twice."""
    with context(browser, "phone") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/yard/quarry/write/bloom-note")
        page.get_by_role("radio", name="few").tap()
        page.get_by_role("button", name="Write it down").dblclick()
        expect(page.get_by_text("Written down.")).to_be_visible()
        assert len(served.desk.books.entries(kind="bloom note")) == 1


def test_figures_answer_while_typing(browser: Browser, served: Served) -> None:
    """The rows that do not match go away at once."""
    with context(browser, "desk") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(f"{served.address}/figures?q=beetle")
        before = page.locator("tbody tr:visible").count()
        page.get_by_role("searchbox").fill("beetle egg")
        after = page.locator("tbody tr:visible").count()
        assert 0 < after < before


def test_settings_are_found_while_typing(browser: Browser, served: Served) -> None:
    """A word opens the headings that hold it and hides the rest; emptied, all are there again, folded."""
    with context(browser, "phone") as at:
        page = at.new_page()
        page.goto(served.address + "/settings")
        assert page.locator("details[open]").count() == 0
        page.get_by_label("Find a setting").fill("zebra")
        assert page.locator("details:visible").count() == 0
        page.get_by_label("Find a setting").fill("wage hour")
        assert page.locator("details:visible").count() == 1
        assert page.locator("#i-wage").is_visible()
        assert not page.locator("#i-visit_minutes").is_visible()
        page.get_by_label("Find a setting").fill("")
        assert page.locator("details:visible").count() > 10
        assert page.locator("details[open]").count() == 0


def test_printed_round_keeps_lines_and_drops_buttons(browser: Browser, served: Served) -> None:
    """The same look on paper: calls stay, what cannot be pressed goes."""
    with context(browser, "desk") as c:
        page = c.new_page()
        page.set_default_timeout(8000)
        page.goto(served.address)
        page.emulate_media(media="print")
        assert page.get_by_role("link", name="Look at quarry-01").is_hidden()
        assert page.locator("nav").is_hidden()
        expect(page.get_by_text("Lay on: 455 g").first).to_be_visible()
