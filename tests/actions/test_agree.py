"""My example agrees on everything I can see: one vote on each visible claim, all or none, settled once."""

from unittest.mock import patch

import pytest

from registry import actions
from registry.errors import BaseRevisionStale, ConflictDeclared, IdentityMoved, InvalidField, OwnSubmission
from registry.models import Claim, Example, Vote
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

from .watching import journal_lines, refused
from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def variant(scene):
    return scene.report(scene.anchor, scene.red, scene.black)


@pytest.fixture
def reviewer(scene):
    return scene.reviewers[0]


def agree(variant, by, **said):
    said.setdefault("base_revision", variant.revision_number)
    return actions.agree_with_example(variant=variant, by=by, at=now(), **said)


def told(member):
    votes = Vote.objects.current().filter(by=member).select_related("claim__trait")
    return {vote.claim.trait.key: (vote.verdict, vote.basis) for vote in votes}


def test_each_visible_claim_gets_a_vote_that_names_the_example(scene, variant, reviewer):
    example = scene.example(owner=reviewer)
    votes = agree(variant, reviewer, example=example, note="Bought in May.")
    assert told(reviewer) == dict.fromkeys(("crest", "stripe", "wheels"), ("confirms", "own_sealed"))
    assert {(vote.example, vote.note, vote.base_revision, vote.counts) for vote in votes} == {
        (example, "Bought in May.", 1, True)
    }


def test_what_differs_is_contradicted_and_what_was_not_seen_gets_no_vote(scene, variant, reviewer):
    agree(
        variant,
        reviewer,
        example=scene.example(owner=reviewer, condition="loose"),
        differs=[claim_on(variant, scene.crest)],
        unseen=[claim_on(variant, scene.wheels)],
    )
    assert told(reviewer) == {
        "crest": ("contradicts", "own_loose"),
        "stripe": ("confirms", "own_loose"),
    }


def seen_instead(variant, member, trait):
    return Vote.objects.current().get(by=member, claim=claim_on(variant, trait)).state_seen


def contradicts(scene, variant, member):
    """Through the single vote, which names the state seen."""
    actions.cast_vote(
        claim=claim_on(variant, scene.crest), by=member, at=now(), verdict="contradicts", basis="photo",
        state_seen=scene.gull,
    )  # fmt: skip


def test_what_differs_still_names_the_state_that_was_named_before(scene, variant, reviewer):
    contradicts(scene, variant, reviewer)
    example, crest = scene.example(owner=reviewer), claim_on(variant, scene.crest)
    first = agree(variant, reviewer, example=example, differs=[crest])
    assert seen_instead(variant, reviewer, scene.crest) == scene.gull
    assert agree(variant, reviewer, example=example, differs=[crest]) == first
    assert seen_instead(variant, scene.reviewers[0], scene.stripe) is None
    agree(variant, reviewer, example=example)
    assert seen_instead(variant, reviewer, scene.crest) is None


def test_a_state_named_before_is_left_out_once_it_is_the_one_contradicted(scene, variant, reviewer):
    contradicts(scene, variant, reviewer)
    actions.merge(thing=scene.gull, into=scene.anchor, by=scene.moderator, at=now())
    example, crest = scene.example(owner=reviewer), claim_on(variant, scene.crest)
    agree(variant, reviewer, example=example, differs=[crest])
    assert seen_instead(variant, reviewer, scene.crest) is None


def test_through_the_blister_only_what_it_shows_is_voted_on(scene, variant, reviewer):
    scene.wheels.seen_in_pack = False
    scene.wheels.save()
    agree(variant, reviewer, example=scene.example(owner=reviewer))
    assert set(told(reviewer)) == {"crest", "stripe"}
    agree(variant, reviewer, example=scene.example(owner=reviewer, condition="boxed"))
    assert set(told(reviewer)) == {"crest", "stripe", "wheels"}


def test_the_cause_is_not_for_the_eye(scene, variant, reviewer):
    other = scene.report(scene.gull, base=variant, cause="parallel")
    agree(other, reviewer, example=scene.example(owner=reviewer))
    assert set(told(reviewer)) == {"crest"}


def test_a_new_example_is_noted_once_with_the_votes(scene, variant, reviewer):
    noted = {"condition": "loose", "found_month": None, "found_shop": "fair"}
    with journal_lines() as lines:
        agree(variant, reviewer, noted=noted)
    example = Example.objects.get(owner=reviewer)
    assert (example.condition, example.found_shop, example.release) == ("loose", "fair", scene.release)
    assert [line.verb for line in lines if line.by] == ["example.added", *["vote.cast"] * 3]
    with journal_lines() as lines:
        again = agree(variant, reviewer, noted=noted)
    assert [line.verb for line in lines] == []
    assert Example.objects.filter(owner=reviewer).count() == 1
    assert again == list(Vote.objects.filter(by=reviewer).order_by("pk"))


def test_sent_again_after_another_vote_it_is_cast_anew(scene, variant, reviewer):
    example = scene.example(owner=reviewer)
    first = agree(variant, reviewer, example=example)
    actions.cast_vote(
        claim=claim_on(variant, scene.crest), by=reviewer, at=now(), verdict="contradicts", basis="photo"
    )
    assert agree(variant, reviewer, example=example) != first
    assert told(reviewer)["crest"] == ("confirms", "own_sealed")
    assert Vote.objects.current().filter(by=reviewer).count() == 3


def test_the_release_is_settled_once_and_comes_to_what_single_votes_do(scene, variant, reviewer):
    example = scene.example(owner=reviewer)
    with patch("registry.actions.vote.settle_release", wraps=actions.settle_release) as settled:
        agree(variant, reviewer, example=example)
    assert settled.call_count == 1
    together = list(Claim.objects.order_by("pk").values_list("posterior", "votes_counted", "standing"))
    other = Scene()
    alone = other.report(other.anchor, other.red, other.black)
    for claim in Claim.objects.open().filter(variant=alone).exclude(trait__key="cause").order_by("pk"):
        actions.cast_vote(
            claim=claim, by=other.reviewers[0], at=now(), verdict="confirms", basis="own_sealed",
            example=other.example(owner=other.reviewers[0]),
        )  # fmt: skip
    singly = Claim.objects.filter(variant=alone).order_by("pk")
    assert list(singly.values_list("posterior", "votes_counted", "standing")) == together


def test_one_refusal_refuses_all_and_names_the_claim(scene, variant, reviewer):
    linked = scene.reviewers[1]
    crest = claim_on(variant, scene.crest)
    actions.cast_vote(claim=crest, by=linked, at=now(), verdict="confirms", basis="photo")
    actions.declare_link(first=linked, second=reviewer, by=scene.moderator, at=now())
    with refused(ConflictDeclared, field=crest.public_id):
        agree(variant, reviewer, noted={"condition": "loose"})
    agree(variant, reviewer, noted={"condition": "loose"}, unseen=[crest])
    assert set(told(reviewer)) == {"stripe", "wheels"}


def test_T02_ones_own_details_get_no_vote(scene, variant, reviewer):
    own, example = claim_on(variant, scene.crest), scene.example(owner=scene.author)
    with refused(OwnSubmission, says=["you reported it"]):
        agree(variant, scene.author, example=example)
    with refused(OwnSubmission, field=own.public_id):
        agree(variant, scene.author, example=example, differs=[own])


def test_T44_what_entered_the_record_since_is_left_and_what_ended_is_refused(scene, variant, reviewer):
    crest = claim_on(variant, scene.crest)
    dispute = actions.open_dispute(
        claim=crest, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    example = scene.example()
    scene.mark(dispute.rival, scene.photo(example, dispute=dispute), example)
    scene.vote(dispute.rival, voters=5)
    variant.refresh_from_db()
    assert variant.revision_number == 2
    voter = scene.reviewers[5]
    with refused(BaseRevisionStale, field=crest.public_id):
        agree(variant, voter, noted={"condition": "loose"}, base_revision=1, differs=[crest])
    agree(variant, voter, noted={"condition": "loose"}, base_revision=1)
    assert set(told(voter)) == {"stripe", "wheels"}, "the crest that came since was not looked at"


def test_a_variant_that_is_gone_is_refused(scene, variant, reviewer):
    actions.strike_variant(
        variant=variant, reason_code="hoax", reason="Painted.", by=scene.moderator, at=now()
    )
    with refused(IdentityMoved):
        agree(variant, reviewer, noted={"condition": "loose"})


@pytest.mark.parametrize(
    ("said", "field"),
    [({}, "example"), ({"noted": {"condition": "mint"}}, "condition"),
     ({"noted": {"condition": "loose"}, "base_revision": 0}, "base_revision"),
     ({"noted": {"condition": "loose"}, "note": "x" * 301}, "note")],
)  # fmt: skip
def test_an_example_is_needed_and_plain_words(variant, reviewer, said, field):
    with refused(InvalidField, field=field):
        agree(variant, reviewer, **said)


def test_with_everything_unseen_nothing_is_left(scene, variant, reviewer):
    claims = list(Claim.objects.open().filter(variant=variant))
    with refused(InvalidField, field="unseen", says=["Leave at least one"]):
        agree(variant, reviewer, noted={"condition": "loose"}, unseen=claims)


def test_details_of_another_variant_or_an_example_of_another_member_are_refused(scene, variant, reviewer):
    other = scene.report(scene.gull, base=variant, cause="parallel")
    with refused(InvalidField, field="differs"):
        agree(variant, reviewer, noted={"condition": "loose"}, differs=[claim_on(other, scene.crest)])
    foreign = scene.example()
    with refused(InvalidField, field="example", says=["your own"]):
        agree(variant, reviewer, example=foreign)


def test_the_journal_replays_to_the_same_standings():
    yard = Yard()
    variant = yard.report(yard.gull_states[0])
    for n, member in enumerate(yard.reviewers[:3]):
        agree(variant, member, noted={"condition": "loose", "found_shop": f"kiosk {n}"})
    assert Claim.objects.filter(variant=variant, votes_counted=3).exists()
    assert by_journal(yard.release) == as_stored(yard.release)
