"""Settings keep their ranges, speak in sentences, and come back as they went out."""

from __future__ import annotations

from dataclasses import fields

import pytest

from tideover.figures import book
from tideover.plan.settings import PHASES, Settings, SettingsError, fields_for_display, month_day

KNOWN = {
    "read",
    "read abstract",
    "read second-hand",
    "from memory",
    "arithmetic",
    "our assumption",
    "common practice",
}


def test_defaults_pass_and_come_back():
    """What goes out as plain values comes back equal, also as text."""
    s = Settings(margin=0.05, patty_stop="09-05", currency="€")
    assert Settings.from_mapping(s.to_mapping()) == s
    assert Settings.from_mapping({k: str(v) for k, v in s.to_mapping().items()}) == s
    assert s.changed() == {"margin": 0.05, "patty_stop": "09-05", "currency": "€"}
    assert Settings.from_mapping({}) == Settings()


@pytest.mark.parametrize("shown", fields_for_display(), ids=lambda f: f.name)
def test_every_setting_says_what_it_is_and_where_from(shown):
    """Each setting has words, a source, a known code, and a default inside its range."""
    assert shown.says
    assert shown.source
    assert shown.known in KNOWN
    if shown.low is not None:
        assert shown.low <= shown.default <= shown.high
        assert shown.unit
    elif shown.words:
        assert shown.default in shown.words


@pytest.mark.parametrize("shown", [f for f in fields_for_display() if f.row], ids=lambda f: f.name)
def test_defaults_are_those_of_the_figures_book(shown):
    """Where the figures book has the row, the default is its value."""
    assert shown.default == book().value(shown.row)


def test_defaults_lie_in_the_spans_of_the_figures_book():
    """Weeks before last brood, share with pollen: inside the spans the book gives."""
    weeks = book().row("feeding.rule_autumn_stop_weeks")
    assert weeks.low <= Settings().patty_stop_weeks <= weeks.high
    share = book().row("forage.pollen_share_good")
    assert share.low <= Settings().pollen_share_enough <= share.high


@pytest.mark.parametrize("f", [f for f in fields(Settings) if "low" in f.metadata], ids=lambda f: f.name)
def test_numbers_out_of_range_are_refused(f):
    """One step beyond either end is refused in a sentence that names the range."""
    for value in (f.metadata["low"] - 1e-6, f.metadata["high"] + 1e-6, float("nan"), float("inf")):
        with pytest.raises(SettingsError, match=f"Setting '{f.name}' got"):
            Settings.from_mapping({f.name: value})


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        ({"margn": 0.1}, "There is no setting 'margn'; did you mean 'margin'?"),
        ({"zzz": 0.1}, "see the list of settings"),
        ({"wage": "plenty"}, "wanted a number of currency/h"),
        ({"wage": "14,5"}, "write it with digits"),
        ({"wage": True}, "wanted a number"),
        ({"patty_stop": "13-40"}, "wanted month-day"),
        ({"patty_stop": "02-29"}, "29 February is not in every year"),
        ({"patty_stop": 905}, "wanted text"),
        ({"beetle_pressure": "awful"}, "wanted one of low, usual, high"),
        ({"currency": ""}, "wanted 1 to 8 characters"),
        ({"mites_caution_peak": 6}, "caution comes before treating"),
        ({"heat_high_f": 120}, "above 'heat_stop_f'"),
    ],
)
def test_bad_values_each_get_a_sentence(raw, says):
    """A value that cannot be used is refused in one sentence that says what to do."""
    with pytest.raises(SettingsError) as error:
        Settings.from_mapping(raw)
    assert len(error.value.problems) == 1
    assert says in error.value.problems[0]


def test_every_problem_is_listed_at_once():
    """Several bad values give several sentences."""
    with pytest.raises(SettingsError) as error:
        Settings.from_mapping({"wage": "x", "margin": 3, "nothing": 1})
    assert len(error.value.problems) == 3


@pytest.mark.parametrize(
    ("phase", "levels"),
    # coalition guide, editions about 2016-2018 (from memory)
    [
        ("growing", (1, 3)),
        ("peak", (2, 5)),
        ("shrinking", (2, 3)),
        ("resting with brood", (1, 2)),
        ("resting without brood", (1, 3)),
    ],
)
def test_mite_levels_of_the_guide(phase, levels):
    """Default mite levels by phase are those of the guide."""
    assert Settings().mite_levels(phase) == levels
    assert phase in PHASES


def test_month_day():
    """Only a month and a day that exist in every year are read."""
    assert month_day("09-05") == (9, 5)
    assert month_day(" 9-5 ") == (9, 5)
    for bad in ("", "5", "02-29", "00-10", "2031-09-05", "٠٩-٠٥"):
        assert month_day(bad) is None
