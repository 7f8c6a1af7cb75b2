"""What a case is said to hold: by moderators, of what the assortment ships, and no more than fits."""

import pytest

from registry import actions
from registry.errors import IdentityMoved, InvalidField
from registry.models import CaseContent
from registry.queries.abundance import release_abundance
from tests.factories import AssortmentItemFactory, CaseContentFactory, ModeratorFactory, VariantFactory
from tests.path import now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def variant():
    return VariantFactory()


@pytest.fixture
def assortment(variant):
    return AssortmentItemFactory(release=variant.release, per_case=4).assortment


def say(assortment, variant, per_case=3, by=None):
    by = by or ModeratorFactory()
    return actions.say_case_content(
        assortment=assortment, variant=variant, per_case=per_case, source="Case label", by=by, at=now()
    )


def test_the_newer_word_stands(assortment, variant):
    say(assortment, variant, 3)
    say(assortment, variant, 1)
    assert list(CaseContent.objects.values_list("variant", "per_case")) == [(variant.pk, 1)]


def test_a_case_holds_no_more_of_a_release_than_the_assortment_says(assortment, variant):
    say(assortment, variant, 3)
    other, by = VariantFactory(release=variant.release), ModeratorFactory()
    with refused(InvalidField, field="per_case", says=["holds 4", "would be 5"]):
        say(assortment, other, 2, by)
    say(assortment, other, 1, by)


def test_a_release_that_is_not_shipped_in_it_or_a_variant_that_is_gone_is_refused(assortment, variant):
    elsewhere, by = VariantFactory(), ModeratorFactory()
    with refused(InvalidField, field="variant", says=["does not ship"]):
        say(assortment, elsewhere, 1, by)
    type(variant).objects.filter(pk=variant.pk).update(standing="struck")
    variant.refresh_from_db()
    with refused(IdentityMoved, field="variant"):
        say(assortment, variant, 1, by)


def test_shares_start_from_what_a_case_is_said_to_hold(variant):
    other = VariantFactory(release=variant.release)
    assert release_abundance(variant.release).share_of(variant).estimate is None
    CaseContentFactory(variant=variant, per_case=3)
    CaseContentFactory(variant=other, per_case=1, assortment=CaseContent.objects.get().assortment)
    found = release_abundance(variant.release)
    # A Dirichlet of three and one, as one such case: its mean. Source: Gelman et al., Bayesian Data Analysis, 3.4.
    assert found.share_of(variant).estimate == pytest.approx(3 / 4)
    assert "the case counts of its assortment" in found.whole.words(found.share_of(variant))


def test_several_assortments_weigh_as_one_case(variant):
    other = VariantFactory(release=variant.release)
    for holds in ((2, 2), (4, 0)):
        assortment = AssortmentItemFactory(release=variant.release).assortment
        for each, n in zip((variant, other), holds, strict=True):
            if n:
                CaseContentFactory(variant=each, per_case=n, assortment=assortment)
    assert release_abundance(variant.release).share_of(variant).estimate == pytest.approx(3 / 4)
