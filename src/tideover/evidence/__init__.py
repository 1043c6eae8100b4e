"""Looks to likelihoods, assimilation, forecasts.

``words`` and ``seen`` hold what may be seen; ``predict`` what a member would show;
``likelihood`` how well the two agree; ``happenings`` what events do to a colony;
``assimilate`` carries one hive through its season; ``future`` carries it on.

May import: figures, colony, comb, forage, beetle, patty. Start reading at ``assimilate``.
"""
