"""T50: what the guards keep of a person goes when the person asks to be erased."""

import pytest

from registry import actions
from registry.models import AddressHint, HeldDispute, Member, PendingDeed
from tests.factories import HeldDisputeFactory, MemberFactory, PendingDeedFactory
from tests.path import now

pytestmark = pytest.mark.django_db


def test_T50_hints_words_and_the_skeleton_of_the_name_go_with_the_person():
    member = MemberFactory(display_name="Mudlark")
    actions.note_address(member=member, address="8.8.4.4", at=now())
    HeldDisputeFactory(opened_by=member, reason="Plainly a gull.")
    PendingDeedFactory(
        detail={"member": member.public_id, "role": "reviewer"}, words="Make Mudlark a reviewer"
    )
    actions.erase_member(by=member, at=now())
    assert not AddressHint.objects.exists()
    assert "gull" not in HeldDispute.objects.get().reason
    assert "Mudlark" not in PendingDeed.objects.get().words
    assert "mudlark" not in Member.objects.get(pk=member.pk).name_skeleton
