"""Comb geometry: from a share of a comb side to cells, bees, honey and bee bread.

What lives here: frame types with their inside sizes (``frames``), cells and bees per
square decimetre (``density``), honey and bee bread per area (``stores``) and the
keeper's words for stored pollen as distributions (``words``).

The trap of the subject: old books count both sides of a comb, later ones one side.
Every name here says which: ``..._per_side`` is one face, ``..._per_comb`` is both.

May import: ``figures``. Start reading at ``frames``.
"""
