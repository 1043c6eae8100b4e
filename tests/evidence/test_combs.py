"""A look comb by comb: sides gathered into areas, and what areas say of a colony."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from tests.evidence.hives import BOXES, TODAY, colonies, known, look, median, seen, show
from tideover.comb.frames import frame
from tideover.evidence.combs import KIND, comb_items, gather
from tideover.evidence.seen import BoxSpec, Seen, Value
from tideover.figures import book

D = timedelta(days=1)
FACE = frame("deep").dm2_per_side


def sides(day: object, combs: int = 10, levels: int = 2, **eighths: float) -> list[Seen]:
    """Every side of a hive alike."""
    return [
        seen("comb side", day, 9.0, id=f"s{level}-{comb:02d}{side}", level=level, comb=comb, side=side, **eighths)  # type: ignore[arg-type]
        for level in range(1, levels + 1)
        for comb in range(1, combs + 1)
        for side in "ab"
    ]


def test_sides_of_a_day_are_one_look_and_areas_add_up() -> None:
    """Forty sides at four eighths of bees are twenty faces; the error of sides adds as the root of squares."""
    (one,) = gather(sides(TODAY, bees=4.0, eggs=0.0), BOXES)
    area, spread, share = one.values["bees"]  # type: ignore[misc]
    assert (one.kind, one.id) == (KIND, "s1-01a")
    assert area == pytest.approx(20 * FACE)
    side = book().value("strength.estimate_error_side")
    rounding = 0.144 / 8 * FACE
    assert spread == pytest.approx(np.sqrt(40) * np.hypot(side * FACE / 2, rounding), rel=0.01)
    assert share == 1.0
    assert one.values["eggs"][0] == 0.0  # type: ignore[index]
    assert "capped" not in one.values


def test_a_side_written_twice_counts_once_and_days_stay_apart() -> None:
    """The later entry of a side stands; another day is another look."""
    first = seen("comb side", TODAY, 9.0, id="a", level=1, comb=1, side="a", bees=8.0)
    again = seen("comb side", TODAY, 9.5, id="b", level=1, comb=1, side="a", bees=2.0)
    other = seen("comb side", TODAY - D, 9.0, id="c", level=1, comb=1, side="a", bees=2.0)
    looks = gather([first, again, other], BOXES)
    assert sorted(one.day for one in looks) == [TODAY - D, TODAY]
    assert [one.values["bees"][0] for one in looks] == pytest.approx([2 / 8 * FACE] * 2)  # type: ignore[index]


def test_boxes_give_their_own_faces() -> None:
    """A side of a medium box is a medium face."""
    (one,) = gather(
        [seen("comb side", TODAY, id="a", level=2, comb=1, side="a", honey=8.0)], (BoxSpec(), BoxSpec("medium", 10))
    )
    assert one.values["honey"][0] == pytest.approx(frame("medium").dm2_per_side)  # type: ignore[index]


def test_likeliest_is_the_colony_whose_areas_were_seen() -> None:
    """Areas computed for one colony by hand are likeliest at that colony: bees over bees per dm2, cells over 400 and
    fill, grams over grams per dm2 (arithmetic)."""
    e = colonies(200, adults=np.linspace(8_000, 40_000, 200))
    s = show(e)
    k = 90
    values: dict[str, Value] = {"bees": (float(s.at_home[k] / s.bees_per_dm2[k]), 2.0, 1.0)}
    (item,) = comb_items(s, values)
    areas = s.at_home / s.bees_per_dm2
    best = int(np.argmax(item.loglik))
    assert areas[best] == pytest.approx(areas[k], rel=0.1)


def test_part_of_a_hive_is_the_least_there_is() -> None:
    """With a quarter of the sides judged larger colonies are as likely as those that fit; smaller ones are not."""
    e = colonies(3, adults=np.array([5_000.0, 15_000.0, 40_000.0]))
    s = show(e)
    (item,) = comb_items(s, {"bees": (float(s.at_home[1] / s.bees_per_dm2[1]), 5.0, 0.25)})
    assert item.loglik[2] > item.loglik[1] > item.loglik[0]
    assert item.loglik[2] == pytest.approx(0.0, abs=0.01)
    assert item.loglik[0] < -3.0


def test_a_whole_look_moves_and_narrows_the_hive() -> None:
    """Three eighths of bees and a half of capped brood on every side of ten combs bring bees, brood and stores near
    the standard method's sums, closer than a lid look does."""
    day = TODAY - 2 * D
    lid = known(look(day, drop=("capped_quarters", "open_quarters", "brood_combs", "eggs", "jelly", "nest_pollen")))
    whole = known(*sides(day, bees=3.0, capped=1.5, open=0.75, eggs=0.4, pollen=0.4, honey=1.0))
    for name, expected in (("adults", 15 * FACE * 105), ("capped", 7.5 * FACE * 400 * 0.78)):
        assert median(whole, name) == pytest.approx(expected, rel=0.35), name
    spread = [np.log(a.ensemble.capped() + 1.0).std() for a in (whole, lid)]
    assert spread[0] < 0.7 * spread[1]
    assert whole.looks == 1


def test_leaving_out_the_first_side_leaves_out_the_look() -> None:
    """The look goes by its first side: without it the hive is known as if never looked at comb by comb."""
    day = TODAY - 2 * D
    a = known(look(day - 9 * D), *sides(day, bees=1.0), without={"s1-01a"})
    assert a.ensemble.state.tobytes() == known(look(day - 9 * D)).ensemble.state.tobytes()
