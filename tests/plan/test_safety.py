"""Standing cautions are complete, sourced, short enough for a sheet, and defer to local rules."""

from __future__ import annotations

from typing import get_args

import pytest

from tideover.plan.safety import CAUTIONS, LOCAL_RULES, Subject, caution, short_cautions

KNOWN = {"read", "read abstract", "read second-hand", "from memory", "common practice", "our assumption"}


def test_every_subject_has_one_caution():
    """Stings, fire, heat, lifting, beetles, disease, treatments, feed and law are all there, once."""
    assert [c.subject for c in CAUTIONS] == list(get_args(Subject))


@pytest.mark.parametrize("c", CAUTIONS, ids=lambda c: c.subject)
def test_caution_is_sourced_and_refers(c):
    """Each has a source, how it is known, who to ask, and a line that fits a sheet."""
    assert c.source
    assert c.known in KNOWN
    assert c.refers_to in ("medical", "authority", "inspector", "vet")
    assert len(c.short) <= 120
    assert c.short.endswith(".")
    assert len(c.text) > len(c.short)


def test_numbers_are_those_published():
    """NIOSH 51 lb (23 kg); OSHA 15 °F in the sun; -12 °C for 24 hours; 15-20 minutes after smoke."""
    assert "51 lb (23 kg)" in caution("lifting").text
    assert pytest.approx(23, abs=0.2) == 51 * 0.45359237
    assert "15 °F (8 °C)" in caution("heat").text
    assert "-12 °C (10 °F) or colder for 24 hours" in caution("beetles").text
    assert "15-20 minutes" in caution("smoke and fire").text
    assert "spores" in caution("disease").text


def test_local_rules_come_first():
    """The line on top of every page and sheet puts local people and rules first."""
    for who in ("Local rules", "vets", "inspectors", "doctors"):
        assert who in LOCAL_RULES
    assert len(short_cautions()) == len(CAUTIONS)


def test_unknown_subject_says_which_there_are():
    """Asking for a subject that is not there names those that are."""
    with pytest.raises(KeyError, match="wanted one of stings"):
        caution("weather")  # type: ignore[arg-type]
