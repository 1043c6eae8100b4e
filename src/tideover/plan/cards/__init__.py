"""Field cards: what to do for each look a keeper may make, worked out before leaving.

``looks`` are the looks on a card, ``card`` the shape of the answer, ``weights`` how a look that is
only thought of weighs on the colonies, ``make`` puts a card together.

May import: figures, colony, evidence and the rest of plan. Start reading at ``make``.
"""

from tideover.plan.cards.card import Card, Cell, Row
from tideover.plan.cards.make import make_card

__all__ = ["Card", "Cell", "Row", "make_card"]
