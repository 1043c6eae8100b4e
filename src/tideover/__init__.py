"""Tideover: from a minute of looking per hive to a call, a round and a season line.

Rooms, lowest first; a room may import only rooms above it in this list:

``figures``    the figures book: published numbers with sources
``colony``     the colony as a daily stochastic process
``beetle``     small hive beetle development and the pull-by
``comb``       comb geometry: sides, cells, bees and honey
``forage``     weather and bloom to pollen on offer; cautions for the visit
``patty``      pieces, portions, softness
``evidence``   looks to likelihoods, assimilation, forecasts
``plan``       gates, plans compared, the call
``records``    the books: entries, store, bring and export
``desk``       books and science brought together, one answer per hive
``checks``     outside checks: published values beside ours
``demo``       the invented Calder Basin season (its own rules)
``paper``      printed sheets
``web``        pages
``cli``        commands
"""

__version__ = "0.1.0"
