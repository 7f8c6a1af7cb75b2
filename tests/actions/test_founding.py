"""Founding mode from its openly said beginning to its end, when what stood by it alone is judged again."""

import json

import pytest
from django.utils.html import strip_tags

from registry import actions
from registry.models import Claim
from tests.factories import MemberFactory
from tests.path import claim_on, now

from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db
SAID = "Founding rules: fewer than five reviewers"


@pytest.fixture
def yard():
    """A release's first variant, verified by the votes of one reviewer and a moderator, of four who might vote."""
    yard = Yard(reviewers=3)
    yard.base = yard.report(yard.gull_states[0])
    yard.show(yard.base)
    yard.show(yard.base)
    yard.claim = claim_on(yard.base, yard.crest)
    yard.vote(yard.claim, voters=1)
    yard.moderate("cast_vote", claim=yard.claim, verdict="confirms", basis="photo")
    yard.base.refresh_from_db()
    assert (yard.base.standing, yard.base.is_founding) == ("verified", True)
    return yard


def founding_of(yard) -> tuple[str, bool, bool]:
    claim = Claim.objects.get(pk=yard.claim.pk)
    return claim.standing, claim.is_founding, claim.was_founding


def end_founding(yard) -> None:
    for _ in range(2):
        yard.moderate("grant_role", member=MemberFactory(), role="reviewer")


def words(client, path: str) -> str:
    """A page without its links: the founding rules are explained where they are named."""
    return strip_tags(client.get(f"/{path}").text)


def test_every_page_that_shows_it_says_so(client, yard):
    for path in (f"releases/{yard.release.public_id}", f"variants/{yard.base.public_id}"):
        text = words(client, path)
        assert SAID in text
        assert "by the founding rules" in text
    dispute = actions.open_dispute(
        claim=yard.claim, state=yard.gull_states[1], by=yard.collectors[1], reason="A gull.", at=now()
    )
    assert SAID in words(client, f"disputes/{dispute.public_id}")
    client.force_login(yard.reviewers[2])
    assert SAID in words(client, f"claims/{yard.claim.public_id}/vote")
    end_founding(yard)
    assert SAID not in words(client, f"releases/{yard.release.public_id}")


def test_the_edition_says_how_many_stand_by_it_and_each_record_whether_it_does(client, yard):
    edition = actions.publish_edition(by=yard.moderator, at=now())
    assert json.loads(edition.document)["founding"] == 1
    assert yard.base.record.count('"founding":true') == 1
    assert "1 of them stands by the founding rules" in client.get("/lists/1").text
    end_founding(yard)
    yard.vote(yard.claim, voters=3)
    after = actions.publish_edition(by=yard.moderator, at=now())
    assert json.loads(after.document)["founding"] == 0
    assert "founding" not in client.get("/lists/2").text


def test_when_it_ends_what_stood_by_it_alone_is_open_again_and_remembered_until_decided(client, yard):
    assert founding_of(yard) == ("confirmed", True, True)
    end_founding(yard)
    assert founding_of(yard) == ("open", False, True)
    text = client.get(f"/variants/{yard.base.public_id}").text
    assert "settled by the founding rules once, and being judged again" in text
    assert by_journal(yard.release) == as_stored(yard.release)
    yard.vote(yard.claim, voters=2)
    assert founding_of(yard) == ("confirmed", False, False)


def test_what_the_full_rules_had_confirmed_is_not_judged_again(yard):
    yard.vote(yard.claim, voters=3)
    assert founding_of(yard) == ("confirmed", False, False)
    end_founding(yard)
    assert founding_of(yard) == ("confirmed", False, False)


def test_what_the_founding_rules_refuted_is_remembered_too(yard):
    other = yard.report(yard.gull_states[1], base=yard.base, cause="running_change")
    claim = yard.claim = claim_on(other, yard.crest)
    yard.moderate("cast_vote", claim=claim, verdict="contradicts", basis="own_loose")
    actions.cast_vote(claim=claim, by=yard.reviewers[0], at=now(), verdict="contradicts", basis="own_loose")
    assert founding_of(yard) == ("refuted", True, True)
    end_founding(yard)
    assert founding_of(yard) == ("open", False, True)
