"""Patties: portions, how they soften or harden, and how much bees eat of them by when.

What lives here: portions and composition (``piece``), softness by age and heat
(``softness``), intake of young bees and the portion sure to be gone in time (``intake``), and mixing one (``kitchen``).

May import: ``figures``, ``colony``, ``beetle``, ``comb``, ``forage``. Start reading at ``piece``.
"""
