"""Field cards at the desk: every hive has one, and the round's word on opening follows from it."""

from __future__ import annotations

from tideover.desk import Desk
from tideover.plan.advise import must_open


def test_every_hive_has_a_card_for_the_day_of_its_call(desk: Desk) -> None:
    """Twelve looks and five first rows each, made for the day of the call and good at least a day."""
    lines = [line for yard in desk.round().yards for line in yard.hives]
    assert len(lines) == 26
    for line in lines:
        assert line.card is not None
        assert (line.card.hive, line.card.made_for) == (line.hive, line.call.made_for)
        assert len(line.card.cells) == 12
        assert line.card.good_until > line.card.made_for


def test_opening_follows_from_the_card_where_nothing_else_asks_for_it(desk: Desk) -> None:
    """A hive called 'leave' without a gate is opened exactly when its card says that a look pays."""
    free = [
        line
        for yard in desk.round().yards
        for line in yard.hives
        if line.call.moment == "before the round" and not must_open(line.call.action, line.call.gates)
    ]
    for line in free:
        assert line.card is not None
        assert line.call.worth_opening == line.card.worth


def test_without_a_look_the_card_names_the_call_itself(desk: Desk) -> None:
    """'Now' on the card is the call, unless an old piece comes off first and the card goes on from there."""
    for yard in desk.round().yards:
        for line in yard.hives:
            assert line.card is not None
            if line.card.first_off:
                assert line.call.action == "take off"
            else:
                assert line.card.now.action == line.call.action
                assert line.card.now.grams == line.call.grams or line.call.grams == round(line.card.now.grams, 1)


def test_a_suspect_brood_forbids_feeding_on_every_row_of_the_table(desk: Desk) -> None:
    """Where brood signs were written and not cleared, no look at pollen or jelly leads to laying on."""
    for yard in desk.round().yards:
        for line in yard.hives:
            if any(g.code == "brood-disease" for g in line.call.gates):
                assert line.card is not None
                assert all(c.answer.action != "lay on" for c in line.card.cells)
