"""Gates, plans compared, the call.

``call`` is the shape of an answer; ``settings`` the keeper's thresholds with their sources;
``situation`` what stands written, folded; ``gates*`` what must be known before feeding may be
said; ``options``, ``compare`` and ``decide`` the plans and the choice between them; ``ground`` runs
them once, member by member; ``verdict`` holds gates and bigger changes over the choice and
``settle`` does both on a ground; ``drivers`` and ``wording`` give reasons; ``advise`` puts a
call together; ``cards`` answers for looks not made yet.

May import: figures, colony, beetle, comb, forage, patty, evidence. Start reading at ``advise``.
"""
