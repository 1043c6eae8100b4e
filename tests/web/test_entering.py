"""Writing in the books from a page: checked, once, and with a way back."""

from __future__ import annotations

import uuid
from datetime import date, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FLAGGED, TODAY, FakeDesk
from tests.web.reading_pages import Page, get, written_form
from tideover.records import Entry, Hive, Yard

LOOK = "/hive/mill-race-01/look"


def look(client: TestClient, **changes: str) -> tuple[str, dict[str, str]]:
    """The look form of a hive of two boxes, with fields filled in."""
    return written_form(client, LOOK, **changes)


def test_look_is_written_and_shown_with_an_undo(client: TestClient, desk: FakeDesk) -> None:
    """Post, redirect to the hive with the new entry named, undo, and back again by putting it back."""
    action, values = look(
        client, seams__0="8", seams__1="4.5", heft="light", eggs="no", shade_temp_c="31", who="second keeper",
        note="hazy", at="2026-08-04T07:30",
    )  # fmt: skip
    answer = client.post(action, data=values)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/hive/mill-race-01?entered={values['id']}"
    entry = desk.books.entry(values["id"])
    assert entry.values == {"seams": (8.0, 4.5), "heft": "light", "eggs": "no", "shade_temp": 31.0}
    assert (entry.who, entry.note, entry.units) == ("second keeper", "hazy", "metric")
    assert entry.at.isoformat() == "2026-08-04T07:30:00-07:00"

    page = get(client, answer.headers["location"])
    assert "Written down." in page.words()
    assert "/hive/mill-race-02/look" in page.links
    undo = page.form(f"/entry/{entry.id}/withdraw")
    answer = client.post(undo.action, data=undo.values)
    assert desk.books.entry_and_state(entry.id)[1] == "withdrawn"
    page = get(client, answer.headers["location"])
    assert "Withdrawn." in page.words()

    back = page.form(f"/entry/{entry.id}/restore")
    answer = client.post(back.action, data=back.values)
    assert "Put back." in get(client, answer.headers["location"]).words()
    assert desk.books.entry_and_state(entry.id)[1] == "stands"


def test_what_is_left_alone_is_missing_not_none(client: TestClient, desk: FakeDesk) -> None:
    """Sending one field writes one field."""
    action, values = look(client, beetles="none")
    assert client.post(action, data=values).status_code == 303
    assert desk.books.entry(values["id"]).values == {"beetles": "none"}


def test_second_tap_writes_nothing_more(client: TestClient, desk: FakeDesk) -> None:
    """The same form sent twice is one entry, and both taps end on the same page."""
    action, values = look(client, heft="fair")
    first, second = client.post(action, data=values), client.post(action, data=values)
    assert first.headers["location"] == second.headers["location"]
    assert desk.books.count()["look"] == 13


def test_changed_form_sent_again_becomes_a_correction(client: TestClient, desk: FakeDesk) -> None:
    """Going back, changing and sending again never overwrites: it is offered as a correction, filled in."""
    action, values = look(client, heft="fair")
    client.post(action, data=values)
    answer = client.post(action, data=values | {"heft": "heavy"})
    assert answer.status_code == 409
    form = Page(answer.text).form("/look")
    assert form.values["heft"] == "heavy"
    assert form.values["corrects"] == values["id"]
    assert client.post(action, data=form.values).status_code == 303
    assert desk.books.entry_and_state(values["id"])[1] == "corrected"
    assert desk.books.entry(form.values["id"]).values == {"heft": "heavy"}


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("seams__0", "-3", "-3 is negative"),
        ("seams__0", "99", "is above what is possible"),
        ("capped_quarters", "14", "14 is above what is possible"),
        ("capped_quarters", "14/8", "This is a fraction"),
        ("jelly_dry", "2.5", "2.5 is a fraction of a count"),
        ("shade_temp_c", "95", "if this is Fahrenheit"),
        ("shade_temp_c", "warm", "This is not a number"),
        ("shade_temp_c", "31 °C", "The cell holds a unit as well"),
        ("hive_weight_kg", "1,500", "The comma makes the number ambiguous"),
        ("heft", "floating", "not a word for heft"),
        ("at", "2036-01-01T08:00", "is in the future"),
        ("at", "yesterday", "is not a date and time"),
        ("at", "", "is not a date and time"),
        ("at", "1890-01-01T08:00", "too long ago"),
    ],
)
def test_impossible_value_is_told_beside_its_field_and_nothing_is_lost(
    client: TestClient, desk: FakeDesk, field: str, typed: str, sentence: str
) -> None:
    """One sentence, the form as it was typed, and books that are as they were."""
    action, values = look(client, seams__0="8", seams__1="4", heft="light", note="kept", who="keeper")
    values = values | {field: typed}
    before = desk.books.version()
    answer = client.post(action, data=values)
    assert answer.status_code == 422
    assert desk.books.version() == before
    page = Page(answer.text)
    assert sentence.lower() in page.words().lower()
    assert "all you typed is still here" in page.words()
    kept = page.form("/look").values
    for name, text in values.items():
        if name not in ("token", "heft") and not (name == field == "heft"):
            assert kept[name] == text, name
    assert any(i.startswith("e-") for i in page.ids)


def test_several_mistakes_are_all_told_at_once(client: TestClient) -> None:
    """Nobody likes to hear of them one by one; the folded section with a mistake in it is open."""
    action, values = look(client, seams__0="-1", seams__1="4", open_quarters="9", shade_temp_c="x")
    answer = client.post(action, data=values)
    assert "3 things to put right" in answer.text
    assert "<details open><summary>Two combs" in answer.text
    page = Page(answer.text)
    jumps = [k[1:] for k in page.links if k.startswith("#f-")]
    assert jumps == ["f-seams", "f-shade_temp_c", "f-open_quarters"]
    assert set(jumps) <= set(page.ids)


def test_one_box_left_empty_is_told_plainly(client: TestClient) -> None:
    """Seams of one box only cannot be told from a forgotten one."""
    action, values = look(client, seams__1="4")
    answer = client.post(action, data=values)
    assert answer.status_code == 422
    assert "Some boxes are empty: write a number for every box" in answer.text
    assert Page(answer.text).form("/look").values["seams__1"] == "4"


def test_capped_and_open_brood_cannot_fill_more_than_both_sides(client: TestClient) -> None:
    """Eight quarter sides are all there are."""
    action, values = look(client, capped_quarters="6", open_quarters="5")
    assert "both sides of a comb have 8" in client.post(action, data=values).text


def test_empty_form_is_not_an_entry(client: TestClient, desk: FakeDesk) -> None:
    """Nothing filled in is told; a note alone is enough."""
    action, values = look(client)
    before = desk.books.version()
    answer = client.post(action, data=values)
    assert answer.status_code == 422
    assert "Nothing is filled in" in answer.text
    assert desk.books.version() == before
    assert client.post(action, data=values | {"note": "all quiet"}).status_code == 303


def test_us_form_is_read_in_us_units_even_if_the_reader_switches_meanwhile(client: TestClient, desk: FakeDesk) -> None:
    """The unit stands in the field's name, so a switch in another tab changes no number."""
    client.cookies.set("units", "us")
    action, values = written_form(client, "/hive/quarry-02/write/laid-on", weight_lb="0.5")
    client.cookies.set("units", "metric")
    assert client.post(action, data=values).status_code == 303
    entry = desk.books.entry(values["id"])
    assert entry.values["weight"] == pytest.approx(226.796185)  # half of 453.59237 g (NIST SP 811)
    assert entry.units == "us"


def test_weight_of_the_call_is_filled_in(client: TestClient) -> None:
    """One tap from the call to the form, with the amount already there."""
    link = next(k for k in get(client, "/hive/quarry-01").links if "laid-on?weight" in k)
    client.cookies.set("units", "us")
    assert get(client, link).form("/write/laid-on").values["weight_lb"] == "1"


@pytest.mark.parametrize("weight", ["nan", "x", "1e999", ""])
def test_nonsense_in_the_address_is_passed_over(client: TestClient, weight: str) -> None:
    """A broken link opens the plain form."""
    page = get(client, f"/hive/quarry-01/write/laid-on?weight={weight}")
    assert page.form("/write/laid-on").values["weight_g"] == ""


def test_mite_wash_and_entrance_count_need_their_numbers(client: TestClient, desk: FakeDesk) -> None:
    """What is needed is marked and asked for beside its field."""
    action, values = written_form(client, "/hive/quarry-01/write/mite-wash", bees="300")
    answer = client.post(action, data=values)
    assert answer.status_code == 422
    assert "This is needed: fill it in." in answer.text
    assert client.post(action, data=values | {"mites": "9"}).status_code == 303
    assert desk.books.entry(values["id"]).values == {"mites": 9, "bees": 300}


def test_bloom_note_and_event_belong_to_the_yard(client: TestClient, desk: FakeDesk) -> None:
    """They name no hive, and lead back to the yard with an undo."""
    for path, field, word in (("bloom-note", "bloom", "few"), ("event", "event", "fire ban on")):
        action, values = written_form(client, f"/yard/quarry/write/{path}", **{field: word})
        answer = client.post(action, data=values)
        assert answer.headers["location"] == f"/yard/quarry?entered={values['id']}"
        assert desk.books.entry(values["id"]).hive is None
        page = get(client, answer.headers["location"])
        assert "Written down." in page.words()
        undo = page.form(f"/entry/{values['id']}/withdraw")
        assert client.post(undo.action, data=undo.values).headers["location"].startswith("/yard/quarry")


def test_entrance_count_from_the_yard_asks_for_the_hive(client: TestClient, desk: FakeDesk) -> None:
    """A hive of another yard, or none, is told."""
    path = "/yard/quarry/write/entrance-count"
    action, values = written_form(client, path, hive="quarry-03", minutes="2", bees_in="60", with_pollen="6")
    assert client.post(action, data=values | {"hive": "long-fallow-01"}).status_code == 422
    assert client.post(action, data=values | {"hive": ""}).status_code == 422
    assert client.post(action, data=values).status_code == 303
    assert desk.books.entry(values["id"]).hive == "quarry-03"


def test_more_with_pollen_than_bees_is_told(client: TestClient) -> None:
    """Two fields that cannot both be true."""
    path = "/hive/quarry-01/write/entrance-count"
    action, values = written_form(client, path, minutes="1", bees_in="5", with_pollen="6")
    assert "is more than bees in" in client.post(action, data=values).text


def test_hive_kind_is_not_opened_from_a_yard_or_the_other_way_round(client: TestClient) -> None:
    """A bloom note is no hive's; an unknown kind is told with the known ones."""
    assert client.get("/hive/quarry-01/write/bloom-note").status_code == 404
    assert "mite-wash" in client.get("/hive/quarry-01/write/confirm").text


def test_correction_starts_from_the_entry_and_supersedes_it(client: TestClient, desk: FakeDesk) -> None:
    """What was written stands beside what it says now."""
    path = f"/entry/{FLAGGED}/correct"
    form = get(client, path).form(path)
    assert (form.values["seams__0"], form.values["heft"], form.values["corrects"]) == ("6", "light", FLAGGED)
    assert form.values["at"] == "2026-07-28T09:00"
    answer = client.post(path, data=form.values | {"seams__0": "9"})
    assert answer.status_code == 303
    assert desk.books.entry_and_state(FLAGGED)[1] == "corrected"
    new = desk.books.entry(form.values["id"])
    assert (new.supersedes, new.values["seams"]) == (FLAGGED, (9.0,))
    assert "corrected" in get(client, "/hive/quarry-01").words()


def test_flagged_entry_can_be_confirmed_or_withdrawn(client: TestClient, desk: FakeDesk) -> None:
    """Three buttons beside a flag; confirming writes a confirmation that names the entry."""
    page = get(client, "/hive/quarry-01")
    assert f"/entry/{FLAGGED}/correct" in page.links
    confirm = page.form(f"/entry/{FLAGGED}/confirm")
    assert client.post(confirm.action, data=confirm.values).status_code == 303
    assert desk.books.confirmed(hive="quarry-01") == {FLAGGED}
    withdraw = page.form(f"/entry/{FLAGGED}/withdraw")
    assert client.post(withdraw.action, data=withdraw.values).status_code == 303
    assert client.post(withdraw.action, data=withdraw.values).status_code == 303
    assert desk.books.entry_and_state(FLAGGED)[1] == "withdrawn"
    assert desk.books.count()["withdraw"] == 1


def test_change_without_token_or_of_an_unknown_kind_changes_nothing(client: TestClient, desk: FakeDesk) -> None:
    """No token, no change; no such change, a sentence; nothing withdrawn, nothing to put back."""
    before = desk.books.version()
    assert client.post(f"/entry/{FLAGGED}/withdraw", data={"id": str(uuid.uuid4())}).status_code == 403
    form = get(client, "/hive/quarry-01").form(f"/entry/{FLAGGED}/withdraw")
    assert client.post(f"/entry/{FLAGGED}/burn", data=form.values).status_code == 404
    assert client.post(f"/entry/{FLAGGED}/restore", data=form.values).status_code == 409
    assert client.post(f"/entry/{uuid.uuid4()}/withdraw", data=form.values).status_code == 404
    assert desk.books.version() == before


def test_id_that_is_no_uuid_is_replaced(client: TestClient, desk: FakeDesk) -> None:
    """A mangled hidden field loses nobody's look."""
    action, values = look(client, heft="fair")
    assert client.post(action, data=values | {"id": "oops"}).status_code == 303
    assert desk.books.count()["look"] == 13


def test_name_is_remembered(client: TestClient) -> None:
    """Typed once, there the next time."""
    action, values = look(client, heft="fair", who="second keeper")
    client.post(action, data=values)
    assert get(client, LOOK).form("/look").values["who"] == "second keeper"


def test_form_starts_on_the_desks_day(client: TestClient) -> None:
    """The day the answers are for, at the hour it is now."""
    at = datetime.fromisoformat(get(client, LOOK).form("/look").values["at"])
    assert at.date() == TODAY


def test_late_entry_is_taken(client: TestClient, desk: FakeDesk) -> None:
    """Two weeks late is no mistake."""
    late = (datetime.combine(TODAY, datetime.min.time()) - timedelta(days=14)).strftime("%Y-%m-%dT%H:%M")
    action, values = look(client, heft="fair", at=late)
    assert client.post(action, data=values).status_code == 303
    assert desk.books.entry(values["id"]).at.date() == date(2026, 7, 21)


def test_names_with_spaces_and_signs_have_addresses(client: TestClient, desk: FakeDesk) -> None:
    """A hive may be called 'Old & new #1/2'."""
    desk.books.put_yard(Yard("back field", "Back field", 37.0, -119.0, "America/Los_Angeles"))
    name = "Old & new #1/2"
    desk.books.put_hive(Hive(name, "back field"))
    desk.order.append(name)
    page = get(client, "/yard/back%20field")
    look_link = next(k for k in page.links if k.endswith("/look"))
    form = get(client, look_link).forms[-1]
    answer = client.post(form.action, data=form.values | {"heft": "fair"})
    assert answer.status_code == 303
    assert name in get(client, answer.headers["location"].replace(" ", "%20")).words().replace("&amp;", "&")
    assert isinstance(desk.books.entry(form.values["id"]), Entry)
