"""T07: no two members whose names look alike, kept by the database; what stood before the rule may stay."""

import pytest
from django.db import IntegrityError, transaction

from registry.models import Member
from tests.factories import MemberFactory

pytestmark = pytest.mark.django_db


def test_T07_the_database_refuses_the_twin_of_a_name():
    MemberFactory(display_name="Mudlark")
    with pytest.raises(IntegrityError), transaction.atomic():
        MemberFactory(display_name="Мudlаrk")
    assert Member.objects.count() == 1


def test_T07_a_member_of_before_the_rule_keeps_their_name_until_they_change_it():
    MemberFactory(display_name="Mudlark")
    younger = MemberFactory(display_name="Heron")
    Member.objects.filter(pk=younger.pk).update(
        display_name="Мudlаrk", name_key="мudlаrk", name_skeleton="mudlark#2"
    )
    younger.refresh_from_db()
    younger.is_active = False
    younger.save()
    younger.refresh_from_db()
    assert younger.name_skeleton == "mudlark#2"
    younger.display_name = "Gull"
    younger.save()
    assert younger.name_skeleton == "gull"
