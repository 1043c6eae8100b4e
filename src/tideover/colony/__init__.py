"""The colony as a daily stochastic process: kernels, parameters, ensemble.

An ensemble is two plain arrays: ``state`` (members, ``layout.STATE``) and ``params``
(members, ``layout.PARAMS``). ``kernel.run`` steps every member through the days of a
``Weather``; ``reference.step`` is the same day written readably in NumPy.

May import: ``figures``. Start reading at ``layout`` (what a member is made of),
then ``reference`` (what happens on a day), then ``kernel``.
"""
