"""Small hive beetle: development by temperature, the pull-by of a patty, killing by cold.

What lives here: the degree-day laws of each stage (``development``), the clock that starts
when a patty is laid on (``clock``), freezing of a piece (``freezing``) and counting (``count``).
The clock shows the earliest plausible, not the expected: three trials that loaded hives with
beetles found no larvae at all.

May import: ``figures``, ``colony``. Start reading at ``clock``.
"""
