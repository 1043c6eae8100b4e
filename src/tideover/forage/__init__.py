"""Weather and bloom to pollen on offer, and cautions for the visit.

What lives here: sun and air (``sun``, ``air``, ``evapotranspiration``), drought and soil water (``drought``,
``soil``, ``greenness``), hours fit for flying and for pollen (``hours``), the weather response of what stands
in flower (``response``), notes and counts as evidence (``notes``), the daily filter (``filter``), the yard
index (``index``), futures (``outlook``, ``climate``), what grows at the yard (``bloom``), what its earlier
years teach (``habit``), dearth ahead and pollen back (``alert``), unusual rain (``standard_rain``), heat sums
(``degree_days``), weather files read (``files``), heat and lifting (``heat``) and exact intervals
(``intervals``).

The index is what stands in flower; hours are what lets bees fetch it. They stay separate.
No month is a constant: seasons follow day length, weather and hemisphere.

May import: ``figures``, ``colony``, ``beetle``, ``comb``. Start reading at ``index``.
"""
