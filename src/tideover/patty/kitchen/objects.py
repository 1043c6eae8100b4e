"""A mix as plain values for scripts; the shape is that of the JSON Schema ``mix``."""

from __future__ import annotations

from typing import Any, Final

from tideover.figures.units import POUND_KG
from tideover.patty.kitchen import words
from tideover.patty.kitchen.batch import sheet
from tideover.patty.kitchen.formulate import Mix
from tideover.patty.kitchen.ingredients import MINDS, Ingredient
from tideover.patty.kitchen.nutrients import AMINO, NUTRIENTS

FORMAT: Final = 1


def ingredient_object(one: Ingredient) -> dict[str, Any]:
    """An ingredient as plain values: grams in 100 g as sold, with the range of each, and where they come from."""
    return {
        "name": one.name,
        "says": one.says,
        "group": one.group,
        "source": one.source,
        "id": one.id,
        "known": one.known,
        "own": one.own,
        "dry_matter": one.dry,
        "per_100_g": {
            n: {"value": one[n].value, "low": one[n].low, "high": one[n].high} for n in (*NUTRIENTS, "toxic", *AMINO)
        },
        "mind": MINDS.get(one.mind, ""),
        "allergen": one.allergen,
        "note": one.note,
    }


def mix_object(mix: Mix) -> dict[str, Any]:
    """Everything that is known of a mix; amounts both in kg and in lb."""
    task = mix.task
    out: dict[str, Any] = {
        "format": FORMAT,
        "name": task.name,
        "aim": task.aim,
        "found": mix.found,
        "requirement": {
            "name": mix.pattern.name,
            "kind": mix.pattern.kind,
            "source": mix.pattern.source,
            "known": mix.pattern.known,
            "percent_of_protein": {AMINO[n]: p for n, p in mix.pattern.percent.items()},
        },
        "limits": dict(task.limits),
        "left_out": list(task.left_out),
        "notes": list(mix.notes),
        "cannot_hold_together": list(mix.together[0]) if mix.together else [],
        "more_conflicts": [list(group) for group in mix.together[1:]],
        "would_help": list(mix.helpers),
        "budget_needed": mix.budget_needed,
        "smallest_change": [
            {"limit": c.key, "says": c.says, "level": c.level, "needed": c.needed, "words": c.words}
            for c in mix.changes
        ],
        "instead": mix_object(mix.instead) if mix.instead is not None else None,
        "mix": _mix(mix) if mix.found else None,
    }
    return out


def _mix(mix: Mix) -> dict[str, Any]:
    assert mix.makeup is not None
    made, total = sheet(mix), mix.total_kg
    money = mix.task.currency
    worth = made.worth
    return {
        "batch": {"kg": total, "lb": total / POUND_KG},
        "weights": [
            {
                "ingredient": w.name, "kg": w.kilograms, "lb": w.kilograms / POUND_KG, "percent": w.share,
                "cost": w.cost,
                "buy_kg": w.bought_kg, "bags": w.bags, "left_over_kg": w.left_kg,
            }
            for w in made.weighings
        ],
        "cost": {
            "currency": money, "spend_now": mix.spend, "of_what_went_in": mix.worth, "per_kg": mix.worth / total,
            "per_lb": mix.worth / total * POUND_KG, "without_a_price": list(mix.unpriced),
        },
        "composition_percent": {
            n: {"value": s.best, "low": s.low, "high": s.high, "unknown_in": list(s.unknown_in)}
            for n, s in mix.makeup.shares.items()
        },
        "protein_percent_of_dry_matter": mix.makeup.protein_of_dry,
        "omega6_to_omega3": mix.makeup.omega_ratio,
        "amino_acids": _amino(mix),
        "binding": [
            {"limit": b.key, "says": b.says, "shadow_price": b.shadow, "unit": b.unit,
            "words": words.binding_words(b, mix)}
            for b in mix.binding
        ],
        "prices": [
            {
                "ingredient": p.name, "price": p.price, "percent": p.share, "enters_below": p.enters_below,
                "a_fifth_dearer": _moved(p.up), "a_fifth_cheaper": _moved(p.down), "words": words.price_words(p, mix),
            }
            for p in mix.prices
        ],
        "not_known": list(words.doubt_words(mix)),
        "softness": {
            "value": made.softness, "word": made.feel, "means": made.feel_says,
            "stiff_after_days": made.stiff_after_days,
            "hard_after_days": made.hard_after_days,
        },
        "water_activity": {"low": made.water_activity[0], "high": made.water_activity[1]},
        "keeping": {
            "word": made.keeping.word, "shed_days": made.keeping.shed_days, "cool_days": made.keeping.cool_days,
            "says": made.keeping.says,
        },
        "pollen": {
            "grams_per_kg": worth.grams_per_kg, "low": worth.low, "high": worth.high,
            "counted_protein_percent": worth.counted_protein, "pollen_percent": worth.pollen_share,
        },
        "pieces": {
            "count": made.pieces, "grams": made.piece_g, "lb": made.piece_g / 1000.0 / POUND_KG,
            "left_over_g": made.rest_g,
            "cost": made.cost_per_piece, "protein_g": made.protein_per_piece_g, "sugar_g": made.sugar_per_piece_g,
        },
        "steps": list(made.steps),
        "label": list(made.label),
        "cautions": [
            {"subject": c.subject, "text": c.text, "source": c.source, "known": c.known} for c in made.cautions
        ],
    }  # fmt: skip


def _moved(pair: tuple[float, float] | None) -> dict[str, float] | None:
    return None if pair is None else {"percent": pair[0], "cost_per_kg": pair[1]}


def _amino(mix: Mix) -> dict[str, Any] | None:
    made, chances = mix.makeup, mix.chances
    if made is None or made.score is None or made.score_low is None or made.score_high is None or chances is None:
        return None
    return {
        "score": made.score.score,
        "score_low": min(made.score_low.score, chances.score_low),
        "score_high": max(made.score_high.score, chances.score_high),
        "index": made.score.index,
        "limiting": AMINO[made.score.limiting],
        "chance_any_short": chances.any_short,
        "acids": {
            AMINO[n]: {
                "ratio": made.score.ratios[n],
                "low": made.score_low.ratios[n],
                "high": made.score_high.ratios[n],
                "chance_short": chances.short[n],
            }
            for n in AMINO
        },
        "words": words.amino_words(mix),
    }
