"""The bloom catalogue, a yard's own list, and how it bends the index."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tideover.forage import bloom
from tideover.forage.bloom import Plant, Standing, catalogue, in_flower, learned, log_shift, standing_of, windows
from tideover.forage.index import BloomNote, LandDay, outlook, yard_index


def test_catalogue_is_whole() -> None:
    """Over 60 plants in two regions, each with source, both names, and how it is known."""
    plants = list(catalogue().values())
    assert len(plants) >= 60
    assert len({p.region for p in plants}) == 2
    assert len({p.scientific for p in plants}) >= len(plants) - 1
    assert sum(p.known == "from memory" for p in plants) <= 1
    for p in plants:
        assert p.sources
        assert p.known in ("read", "from memory")
        assert p.scientific[0].isupper()


@pytest.mark.parametrize(
    ("plant", "months", "pollen", "drought"),
    [
        # Sanborn & Scholl 1908, Texas Honey Plants, as read in its public-domain text
        ("prickly-poppy", ((5, 7),), 3, "steady"),
        ("sorghum", ((6, 8),), 3, "ordinary"),
        ("whitebrush", ((5, 11),), 1, "after rain"),
        ("live-oak", ((3, 3),), 3, "steady"),
        # Ortiz 1994 and Greek pollen loads (read abstracts): rockroses give very much pollen in spring
        ("rockrose", ((3, 6),), 3, "steady"),
    ],
)
def test_catalogue_says_what_its_sources_say(plant: str, months: object, pollen: int, drought: str) -> None:
    """Spot checks against the sources named."""
    found = catalogue()[plant]
    assert (found.months, found.pollen, found.drought) == (months, pollen, drought)


@pytest.mark.parametrize(
    ("plant", "months"),
    [
        # as the page named beside each says: a visitor centre in Cyprus, an online flora of North Africa's trees (two),
        # nature notes of a cliff park in Malta, a pollinator trail of Texas, a nature page of Palestine
        ("carob", ((9, 11),)),
        ("olive", ((4, 6),)),
        ("jerusalem-thorn", ((4, 7),)),
        ("galactites", ((3, 6),)),
        ("cenizo", ((5, 10),)),
        ("red-gum", ((4, 10),)),
    ],
)
def test_months_are_those_of_the_pages_named(plant: str, months: object) -> None:
    """Spot checks of months that were read on pages of one place each."""
    assert (catalogue()[plant].months, catalogue()[plant].known) == (months, "read")


def test_south_is_half_a_year_later() -> None:
    """A spring bloomer of March to April flowers in September to October south of the equator."""
    one = Standing(catalogue()["bluebonnet"])
    north, south = windows(one, 30.0)[0], windows(one, -30.0)[0]
    assert (south[0] - north[0]) % 365 == pytest.approx(183, abs=0.5)
    assert float(in_flower(date(2025, 9, 25).timetuple().tm_yday, south)) == 1.0
    assert float(in_flower(date(2025, 3, 25).timetuple().tm_yday, south)) == 0.0


def test_window_over_new_year() -> None:
    """December to February is one flowering, not two."""
    one = Standing(catalogue()["mistletoe"])
    (window,) = windows(one, 30.0)
    shares = [float(in_flower(j, window)) for j in (345, 363, 5, 40, 100, 250)]
    assert shares == [1.0, 1.0, 1.0, 1.0, 0.0, 0.0]


def usual() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Day of year, and usual highs and lows of a year."""
    j = np.arange(1.0, 366.0)
    mean = 18.0 - 9.0 * np.cos(2 * np.pi * (j - 20) / 365)
    return j, mean + 7.0, mean - 7.0


def shift(listed: list[Standing], warmer: float = 0.0, ks: float = 1.0, rain: np.ndarray | None = None) -> np.ndarray:
    """What a list adds on each day of a year."""
    j, hi, lo = usual()
    fell = np.zeros(365) if rain is None else rain
    return log_shift(listed, 32.0, j, hi + warmer, lo + warmer, hi, lo, np.full(365, ks), fell)


def middle_of_start(x: np.ndarray) -> int:
    """First day the shift passes its own middle."""
    return int(np.argmax(x > (x.max() + x.min()) / 2))


def test_a_warm_spring_brings_flowers_forward_but_not_by_more_than_three_weeks() -> None:
    """Earlier by degree days, bounded."""
    listed = [Standing(catalogue()["bluebonnet"], 2)]
    plain, warm, hot = (middle_of_start(shift(listed, w)) for w in (0.0, 2.0, 15.0))
    assert 2 <= plain - warm <= 21
    assert plain - hot <= bloom.MOST_SHIFT_D + 1


def test_dry_soil_ends_thirsty_plants_first() -> None:
    """White clover fails in dry soil (Sanborn & Scholl); prickly poppy flowers on in the dearth."""
    june = 170
    clover, poppy = [Standing(catalogue()["white-clover"])], [Standing(catalogue()["prickly-poppy"])]
    assert shift(clover, ks=0.1)[june] < shift(clover, ks=1.0)[june] - 0.3
    assert shift(poppy, ks=0.1)[june] >= shift(poppy, ks=1.0)[june] - 1e-9


def test_rain_opens_pulse_plants_some_days_later() -> None:
    """Whitebrush: shut in drought, open within days of a soaking of 20 mm or more."""
    rain = np.zeros(365)
    rain[200] = 30.0
    x = shift([Standing(catalogue()["whitebrush"], 3)], ks=0.2, rain=rain)
    assert x[199] < 0.0
    assert x[206] > x[199] + 0.5
    assert x[235] < x[206] - 0.5


def test_bending_is_bounded() -> None:
    """No list bends the index by more than a factor of e**1.1, about three."""
    for p in catalogue().values():
        assert np.abs(shift([Standing(p, 3)])).max() <= 1.1


def test_earlier_years_move_the_window() -> None:
    """Seen open two weeks before the catalogue's month in two years: the start moves two thirds of the way."""
    one = Standing(Plant("x", "mint", months=((5, 6),)))
    start = windows(one, 30.0)[0][0]
    notes = []
    for year in (2023, 2024):
        opened = date(year, 1, 1) + timedelta(days=int(start) - 16)
        notes += [BloomNote(opened, "few", "Mint"), BloomNote(opened + timedelta(days=30), "abundant", "mint")]
    (bent,) = learned([one], notes, 30.0, date(2025, 1, 1))
    assert bent.windows is not None
    assert start - bent.windows[0][0] == pytest.approx(2 / 3 * 15, abs=1.0)
    assert bent.windows[0][1] == windows(one, 30.0)[0][1]
    (same,) = learned([one], notes, 30.0, date(2023, 1, 1))
    assert same.windows == windows(one, 30.0)


def test_list_of_a_yard_may_change_and_add_plants() -> None:
    """Ids alone, changed months, and a plant of the keeper's own."""
    got = standing_of(
        [
            "retama",
            {"plant": "cotton", "amount": 3, "months": [[7, 9]]},
            {"common": "hedge by the canal", "months": [[6, 9]], "pollen": 2, "drought": "watered"},
        ]
    )
    assert [s.plant.common for s in got] == ["retama", "cotton", "hedge by the canal"]
    assert got[1].amount == 3
    assert got[1].plant.months == ((7, 9),)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("retama", "wanted a list"), (["nosuch"], "not in the bloom catalogue"), ([3], "wanted an id"),
        ([{"plant": "retama", "amount": 9}], "amount"), ([{"plant": "retama", "months": [[0, 4]]}], "months"),
        ([{"plant": "retama", "drought": "never"}], "drought"),
    ],
)  # fmt: skip
def test_list_that_cannot_be_is_refused(given: object, says: str) -> None:
    """One sentence each."""
    with pytest.raises(ValueError, match=says):
        standing_of(given)


def weather() -> list[LandDay]:
    """A plain year."""
    j, hi, lo = usual()
    return [
        LandDay(date(2025, 1, 1) + timedelta(days=int(k) - 1), h, low, 2.0) for k, h, low in zip(j, hi, lo, strict=True)
    ]


def test_index_without_a_list_is_as_before_and_with_one_is_bent_by_the_same_shift() -> None:
    """Off by default; on, the ground line moves by the list's shift and futures go on from it."""
    days = weather()
    until = date(2025, 8, 1)
    plain = yard_index(32.0, days, until=until)
    same = yard_index(32.0, days, until=until, standing=())
    bent = yard_index(32.0, days, until=until, standing=[Standing(catalogue()["prickly-poppy"], 3)])
    assert np.array_equal(plain.log_mean, same.log_mean)
    june, april = plain.at(date(2025, 6, 20)), plain.at(date(2025, 4, 1))
    assert bent.ground[june] > plain.ground[june]
    assert bent.ground[april] < plain.ground[april]
    assert np.all(plain.bent_ahead([date(2025, 8, 2)]) == 0.0)
    a, b = (outlook(i, date(2025, 10, 1), 200, 1) for i in (plain, bent))
    # July is its last month: what is drawn for October lies lower with nothing but poppies listed
    assert np.median(b.log_index[:, -1]) < np.median(a.log_index[:, -1]) - 0.3
