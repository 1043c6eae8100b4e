"""The round worked out in the background."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import get, written_form
from tideover.desk.views import RoundView
from tideover.records import RecordsError
from tideover.web.answers import Answers, Working


def until(answers: Answers, done: Callable[[object], bool]) -> object:
    """Ask again and again, at most for ten seconds."""
    end = time.monotonic() + 10
    while time.monotonic() < end:
        got = answers.round()
        if done(got):
            return got
        time.sleep(0.01)
    raise AssertionError("the round never came")


def test_round_is_made_once_until_the_books_change(desk: FakeDesk) -> None:
    """Asking again costs nothing; a change of the books makes it anew."""
    answers = Answers(desk, patience_s=10)
    assert isinstance(answers.round(), RoundView)
    assert isinstance(answers.round(), RoundView)
    assert desk.rounds_made == 1
    desk.books.put_settings({"margin": 0.03})
    assert isinstance(answers.round(), RoundView)
    assert desk.rounds_made == 2


def test_progress_is_told_while_it_takes_long(desk: FakeDesk) -> None:
    """So many hives of so many, then the round."""
    gate = threading.Event()
    desk.before_hive = lambda hive: None if hive == "long-fallow-01" else (gate.wait(10), None)[1]
    answers = Answers(desk, patience_s=0.01)
    got = until(answers, lambda g: isinstance(g, Working) and g.done == 1)
    assert isinstance(got, Working)
    assert (got.total, got.what) == (12, "long-fallow-02")
    gate.set()
    until(answers, lambda g: isinstance(g, RoundView))
    assert desk.rounds_made == 1


def test_page_shows_progress_and_refreshes(client: TestClient, desk: FakeDesk) -> None:
    """Without scripts: the page asks again by itself."""
    gate = threading.Event()
    desk.before_hive = lambda hive: (gate.wait(10), None)[1]
    client.app.state.site.answers._patience_s = 0.05  # type: ignore[attr-defined]
    text = client.get("/").text
    assert 'http-equiv="refresh"' in text
    assert "of 12 hives" in text
    gate.set()


def test_error_of_the_desk_is_raised_to_the_page_that_asked_and_tried_again(desk: FakeDesk) -> None:
    """One failure is told, and does not stay for ever."""

    def fail(hive: str) -> None:
        raise RecordsError("the weather has a gap; bring the missing days")

    desk.before_hive = fail
    answers = Answers(desk, patience_s=10)
    with pytest.raises(RecordsError, match="gap"):
        answers.round()
    desk.before_hive = lambda hive: None
    assert isinstance(answers.round(), RoundView)


def test_entry_waits_for_one_hive_not_for_the_round(client: TestClient, desk: FakeDesk) -> None:
    """While the round is being worked out slowly, a look is written in the time of a hive or two."""
    desk.before_hive = lambda hive: time.sleep(0.15)
    client.app.state.site.answers.start()  # type: ignore[attr-defined]
    action, values = written_form(client, "/hive/quarry-02/look", heft="fair")
    start = time.monotonic()
    assert client.post(action, data=values).status_code == 303
    assert time.monotonic() - start < 1.2  # the whole round takes 12 x 0.15 = 1.8 s and starts over


def test_a_keeper_never_waits_for_more_than_what_is_under_way(desk: FakeDesk) -> None:
    """However often it is written while the round is worked out, at most one hive goes before each entry."""
    begun: list[str] = []
    desk.before_hive = lambda hive: (begun.append(hive), time.sleep(0.02))[1]
    answers = Answers(desk, patience_s=0.01)
    answers.start()
    for _ in range(20):
        before = len(begun)
        answers.keep({})
        assert len(begun) <= before + 1
        time.sleep(0.003)
    until(answers, lambda g: isinstance(g, RoundView))


def test_failure_on_a_page_is_a_sentence(desk: FakeDesk) -> None:
    """An unexpected error shows a page, not a traceback."""
    from tideover.web import create_app

    def fail(hive: str) -> None:
        raise ZeroDivisionError("no")

    desk.before_hive = fail
    with TestClient(create_app(desk), base_url="http://127.0.0.1", raise_server_exceptions=False) as client:
        answer = client.get("/hive/quarry-01")
        assert answer.status_code == 500
        assert "the books are as they were" in answer.text
        assert "ZeroDivision" not in answer.text
        assert get(client, "/safety").words()
