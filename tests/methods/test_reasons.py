"""Reasons that nobody typed: kept in English, read back by their form, and said in the reader's language."""

import re

import pytest

from registry.methods import reasons
from registry.sentences import Sentence, said

EACH = [
    *((form, reasons.FORMS) for form in reasons.FORMS),
    *((form, reasons.DEEDS) for form in reasons.DEEDS),
]


@pytest.mark.parametrize(("form", "among"), EACH)
def test_a_kept_reason_is_read_as_what_was_written(form, among):
    parts = {name: f"“{name}, of (one): a: from b”" for name in re.findall(r"%\((\w+)\)s", form)}
    kept = str(form.filled(**parts))
    again = reasons.read(kept, among)
    assert again == kept
    assert again.one == form.one
    assert set(again.given) == set(parts)


def test_what_somebody_typed_is_as_it_was_typed():
    for typed in ("", "It looks wider to me.", "Merge this into that", "First reported by my neighbour."):
        assert not isinstance(reasons.read(typed), Sentence)
        assert reasons.read(typed) == typed


def test_a_corrected_cause_is_said_in_the_readers_language_and_a_corrected_detail_is_as_typed(monkeypatch):
    monkeypatch.setattr(Sentence, "translator", staticmethod(lambda one, many, n: f"⟦{one}⟧"))
    of_cause = reasons.read("Corrected Cause: from running change to factory error.")
    assert said(of_cause) == "⟦Corrected ⟦Cause⟧: from ⟦running change⟧ to ⟦factory error⟧.⟧"
    assert said(reasons.read("Corrected crest: from anchor to gull.")) == (
        "⟦Corrected crest: from anchor to gull.⟧"
    )


def test_what_a_variant_is_struck_as_is_said_in_the_readers_language_and_its_title_as_typed(monkeypatch):
    monkeypatch.setattr(Sentence, "translator", staticmethod(lambda one, many, n: f"⟦{one}⟧"))
    deed = reasons.read("Strike “Gull” (4k7d-9xwp-m2cx): a hoax", reasons.DEEDS)
    assert said(deed) == "⟦Strike “Gull” (4k7d-9xwp-m2cx): ⟦a hoax⟧⟧"
