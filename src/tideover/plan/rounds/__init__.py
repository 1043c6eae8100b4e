"""Rounds over several days: which yards on which day, in which order, what to load and what to have in hand.

``objects`` says what a problem and a plan are, ``work`` makes visits out of calls, ``windows`` finds the
hours a yard can be worked in, ``roads`` the times between places. ``greedy`` plans by a plain rule,
``search`` by a routing library, ``exact`` by listing every round of a small problem. ``bound`` proves how good a
plan can be at best, over the rounds that ``pricing`` finds, the program in ``master`` and its ``cuts``; ``among``
chooses a plan from rounds listed. ``solve`` brings them together. ``stock`` says what to make or buy.

May import what ``plan`` may. Start reading at ``objects``, then ``solve``.
"""
