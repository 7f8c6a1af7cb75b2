"""Rows read with the row they belong to, on either database."""

from datetime import date, datetime

import pytest
from django.db.models import OuterRef

from registry.models import Availability, Member, ModeratorEvent, Release, Variant
from registry.models.nested import NestedRows
from tests.factories import MemberFactory, ReleaseFactory, ReviewerFactory, VariantFactory

pytestmark = pytest.mark.django_db
FACTS = Availability.objects.filter(release=OuterRef("pk")).order_by("on")


def test_rows_come_in_order_as_their_model_with_dates_as_dates():
    release, other = ReleaseFactory(), ReleaseFactory()
    for day in (9, 2):
        Availability.objects.create(
            release=release, kind="on_sale", on=date(2024, 2, day), region="NL", added_by=MemberFactory()
        )
    found = Release.objects.annotate(facts=NestedRows(FACTS, "kind", "on")).in_bulk()
    assert [(type(it), it.get_kind_display(), it.on) for it in found[release.pk].facts] == [
        (Availability, "on sale", date(2024, 2, 2)),
        (Availability, "on sale", date(2024, 2, 9)),
    ]
    assert found[other.pk].facts == []


def test_a_column_that_was_not_named_is_read_when_asked_for_and_never_a_default():
    fact = Availability.objects.create(
        release=ReleaseFactory(), kind="on_sale", on=date(2024, 2, 9), region="NL", added_by=MemberFactory()
    )
    found = Release.objects.annotate(
        facts=NestedRows(FACTS, "id", "kind"), bare=NestedRows(FACTS, "kind")
    ).get()
    assert (found.facts, found.facts[0].region) == ([fact], "NL")
    with pytest.raises(Availability.DoesNotExist):
        assert found.bare[0].region


def test_moments_know_their_zone_and_rows_beside_are_made_too(django_assert_num_queries):
    variant, into = VariantFactory(), VariantFactory(title="Gull")
    at = datetime.fromisoformat("2025-03-02T10:30:00+00:00")
    ModeratorEvent.objects.create(
        variant=variant, kind="merged", into=into, reason="One.", by=MemberFactory(), at=at
    )
    events = ModeratorEvent.objects.filter(variant=OuterRef("pk"))
    columns = ("at", "into__title", "claims", "variant_id", "variant__merged_into_id")
    found = Variant.objects.annotate(events=NestedRows(events, *columns)).get(pk=variant.pk)
    with django_assert_num_queries(0):
        assert [(event.variant.pk, event.variant.merged_into_id) for event in found.events] == [
            (variant.pk, None)
        ]
    assert [(event.at, str(event.into), event.claims) for event in found.events] == [(at, "Gull", {})]


def test_a_member_read_with_roles_asks_for_them_no_more(django_assert_num_queries, settings):
    reviewer, member = ReviewerFactory(), MemberFactory()
    found = Member.objects.with_roles().in_bulk()
    with django_assert_num_queries(0):
        assert found[reviewer.pk].is_reviewer
        assert not found[member.pk].is_reviewer
        assert not found[reviewer.pk].is_moderator
    settings.CASTLORE_SECOND_STEP = True
    assert Member.objects.with_roles().get(pk=reviewer.pk).roles == frozenset()
