"""The two commands of the night: look for patterns, forget addresses."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from registry import actions
from registry.models import AddressHint, Concern
from tests.factories import ClaimFactory, MemberFactory, VoteFactory

pytestmark = pytest.mark.django_db


def run(name):
    out = StringIO()
    call_command(name, stdout=out)
    return out.getvalue()


def test_T01_lockstep_is_told_once():
    first = ClaimFactory()
    claims = [first, *(ClaimFactory(variant=first.variant) for _ in range(11))]
    for by in [MemberFactory() for _ in range(4)]:
        for claim in claims:
            VoteFactory(by=by, claim=claim, counts=False, at=timezone.now() - timedelta(hours=1))
    told = run("look_for_patterns")
    assert "4 members\n1 new concern\n" in told
    assert Concern.objects.get().shown_id in told
    assert run("look_for_patterns") == "0 new concerns\n"


def test_addresses_older_than_thirty_days_are_forgotten():
    for days in (29, 31):
        actions.note_address(
            member=MemberFactory(), address="8.8.4.4", at=timezone.now() - timedelta(days=days)
        )
    assert run("forget_addresses") == "1 forgotten\n"
    assert AddressHint.objects.count() == 1
