"""The sets of rows that variants, claims and proposals are asked for by name."""

import pytest

from registry.models import Acceptance, Claim, Trait, Variant
from tests.factories import (
    NOON,
    ClaimFactory,
    MarkFactory,
    PhotoFactory,
    StateFactory,
    TraitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db


def test_live_variants_are_those_that_still_stand_for_themselves():
    kept = VariantFactory()
    VariantFactory(standing="merged", merged_into=kept)
    VariantFactory(standing="struck")
    VariantFactory(standing="split")
    assert list(Variant.objects.live()) == [kept]


def test_open_claims_stand_in_the_record_and_votable_ones_are_rivals_too():
    claim = ClaimFactory()
    rival = ClaimFactory(variant=claim.variant, trait=claim.trait, is_rival=True, since_revision=None)
    ClaimFactory(variant=claim.variant, trait=claim.trait, closed_at=NOON)
    assert list(Claim.objects.open()) == [claim]
    assert list(Claim.objects.votable().order_by("pk")) == [claim, rival]


def test_claims_on_a_trait_are_also_those_on_one_merged_into_it():
    crest, stripe = TraitFactory(), TraitFactory()
    merged = TraitFactory(acceptance=Acceptance.MERGED, merged_into=crest)
    claims = [ClaimFactory(trait=crest), ClaimFactory(trait=merged)]
    ClaimFactory(trait=stripe)
    assert list(Claim.objects.on(crest).order_by("pk")) == claims


def test_claims_of_a_state_are_also_those_of_one_merged_into_it():
    anchor = StateFactory()
    merged = StateFactory(trait=anchor.trait, acceptance=Acceptance.MERGED, merged_into=anchor)
    claims = [ClaimFactory(trait=anchor.trait, state=state) for state in (anchor, merged)]
    assert list(Claim.objects.of(anchor).order_by("pk")) == claims


def test_what_was_merged_may_be_used_no_more():
    accepted = TraitFactory()
    proposed = TraitFactory(acceptance=Acceptance.PROPOSED)
    TraitFactory(acceptance=Acceptance.MERGED, merged_into=accepted)
    built_in = Trait.objects.filter(key="cause")
    assert list(Trait.objects.current().exclude(pk__in=built_in).order_by("pk")) == [accepted, proposed]
    assert list(Trait.objects.proposed()) == [proposed]


def test_a_mark_stands_until_it_or_its_photo_is_taken_away():
    mark = MarkFactory(x=0, y=2550, w=10_000, h=1)
    MarkFactory(removed_at=NOON)
    MarkFactory(photo=PhotoFactory(taken_down_at=NOON))
    assert list(type(mark).objects.standing()) == [mark]
    assert mark.fragment == "xywh=percent:0,25.5,100,0.01"
