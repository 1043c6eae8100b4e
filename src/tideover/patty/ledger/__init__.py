"""The patty ledger: every gram from batch to hive to cold box and back, by double entry.

What lives here: facts about patties as the ledger takes them (``facts``), short codes of pieces (``codes``),
the fold of facts into movements of grams (``moves``, ``fold``), what stands on each account (``balance``), what is
missing and should be written (``holes``), and which hives a sick hive's pieces reached (``trace``).
May import: ``figures``, ``patty``. Start reading at ``facts``, then ``fold``.
"""
