"""The invented season from end to end, and the pages it ends in."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Run
from tests.conftest import Answered

HIVES = [
    f"{yard}-{i:02d}"
    for yard, count in (("quarry", 10), ("mill-race", 9), ("long-fallow", 7))
    for i in range(1, count + 1)
]


@pytest.mark.usefixtures("desk", "no_truth")
def test_demo_is_made_once_and_again_when_asked(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Books are kept between runs, --fresh drops what was added, a half-made season is made again."""
    monkeypatch.chdir(tmp_path)
    first = run("demo", "--no-serve")
    assert first.code == 0, first.err
    assert "Making the invented Calder Basin season" in first.out
    assert "26 hives" in first.out
    assert "Pages at" not in first.out
    again = run("demo", "--no-serve")
    assert "Making" not in again.out
    assert "--fresh begins again" in again.out
    assert "Making" in run("demo", "--no-serve", "--fresh").out
    (tmp_path / ".tideover/demo/brought").unlink()
    assert "Making" in run("demo", "--no-serve").out


@pytest.fixture
def no_truth(monkeypatch: pytest.MonkeyPatch) -> None:
    """The prepared desk has no readings to hold against the truth."""
    monkeypatch.setattr("tideover.desk.truth_report", lambda desk, season: ["How close: not said here."])


@pytest.mark.slow
def test_demo_end_to_end(answered: Answered) -> None:
    """A season goes in; a call for each of 26 hives, the truth beside them and a printed sheet come out."""
    ran = answered
    assert ran.code == 0, ran.err
    assert ran.err == ""
    rows = {words[0]: row for row in ran.out.splitlines() if (words := row.split()) and words[0] in HIVES}
    assert sorted(rows) == sorted(HIVES)
    assert "How close the readings came to the invented truth" in ran.out
    assert re.search(r"bees: \d+ of 26 inside the 80 % interval", ran.out)
    (sheet,) = ran.folder.glob("round-*.pdf")
    printed = " ".join(page.extract_text() for page in PdfReader(sheet).pages)
    for hive in HIVES:
        assert printed.count(hive) == 1, hive
    for yard in ("Quarry", "Mill Race", "Long Fallow"):
        assert yard in ran.out
        assert yard in printed


def fetch(address: str) -> tuple[int, str]:
    """Status and text of a page; the server may take a moment to listen after it has said where."""
    until = time.monotonic() + 30
    while True:
        try:
            with urllib.request.urlopen(address, timeout=30) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.URLError as error:
            if not isinstance(error.reason, ConnectionRefusedError) or time.monotonic() > until:
                raise
            time.sleep(0.1)


def test_serve_prints_its_address_and_answers_until_stopped(books: Path) -> None:
    """The first line on stdout is the address; Ctrl-C ends it without a traceback."""
    command = [sys.executable, "-m", "tideover.cli", "--books", str(books), "serve", "--port", "0"]
    env = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env) as server:
        try:
            assert server.stdout is not None
            line = server.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+/", line)
            assert found, line
            status, page = fetch(found[0] + "figures")
            assert status == 200
            assert "Tideover" in page
        finally:
            server.send_signal(signal.SIGINT)
            try:
                _, err = server.communicate(timeout=60)
            except subprocess.TimeoutExpired:
                server.kill()
                raise
    assert "Traceback" not in err
    assert server.returncode in (0, 130)
