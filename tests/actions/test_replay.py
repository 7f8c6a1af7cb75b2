"""The journal alone gives the standings that are stored, whatever was done."""

import pytest

from registry import actions
from registry.models import Claim, Mark, Trait
from tests.factories import MemberFactory
from tests.path import claim_on, now

from .yard import Yard, as_stored, by_journal, picture

pytestmark = pytest.mark.django_db


def agrees(yard: Yard) -> bool:
    return by_journal(yard.release) == as_stored(yard.release)


def test_the_main_path_replays():
    yard = Yard()
    base = yard.baseline()
    assert base.standing == "verified"
    variant = yard.verify(yard.report(yard.gull_states[1], base=base, cause="running_change"))
    assert variant.standing == "verified"
    assert agrees(yard)


def test_a_photo_of_a_draft_bears_on_nothing_until_it_is_sent():
    yard = Yard()
    base = yard.baseline()
    by = yard.collectors[1]
    example = actions.add_example(by=by, at=now(), release=yard.release, condition="sealed", found_case="C-9")
    draft = actions.start_draft(by=by, at=now(), variant=base)
    photo = actions.attach_photo(
        by=by, at=now(), data=picture(), submission=draft, examples=[example], views=["seal_all_round"]
    )
    before = as_stored(yard.release)
    actions.settle_release(release=yard.release, at=now())
    assert as_stored(yard.release) == before
    assert agrees(yard)
    actions.describe_photo(photo=photo, by=by, at=now(), views=["base"])
    mark = {"photo": photo.public_id, "example": example.public_id, "trait": yard.crest.public_id,
            "xywh": "percent:0,0,9,9"}  # fmt: skip
    actions.edit_draft(submission=draft, by=by, at=now(), content={"marks": [mark]})
    actions.send_submission(submission=draft, by=by, at=now())
    assert claim_on(base, yard.crest).examples_shown == 3
    assert agrees(yard)


def test_a_photo_of_a_draft_that_was_taken_down_does_not_stop_the_replay():
    yard = Yard()
    yard.report(yard.gull_states[0])
    draft = actions.start_draft(by=yard.collectors[1], at=now(), release=yard.release)
    photo = actions.attach_photo(by=draft.author, at=now(), data=picture(), submission=draft)
    yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    assert agrees(yard)


def test_a_photo_described_anew_gives_and_takes_sealed_proof():
    yard = Yard()
    base = yard.report(yard.wheel_states[0])
    photo = yard.show(base, by=yard.collectors[1], views=("base",))
    assert not claim_on(base, yard.wheels).has_sealed_proof
    actions.describe_photo(photo=photo, by=yard.collectors[1], at=now(), views=["seal_all_round"])
    assert claim_on(base, yard.wheels).has_sealed_proof
    assert agrees(yard)
    actions.describe_photo(photo=photo, by=yard.collectors[1], at=now(), views=["top"])
    assert not claim_on(base, yard.wheels).has_sealed_proof
    assert agrees(yard)


def test_a_photo_taken_down_and_a_mark_taken_back_prove_nothing_more():
    yard = Yard()
    base = yard.report(yard.gull_states[0])
    photo = yard.show(base)
    yard.show(base)
    yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    assert claim_on(base, yard.crest).examples_shown == 1
    yard.moderate("remove_mark", mark=Mark.objects.standing().get(), reason="It shows the shadow.")
    assert claim_on(base, yard.crest).examples_shown == 0
    assert agrees(yard)


def test_a_report_that_contradicts_contests_with_its_photo():
    yard = Yard()
    base = yard.baseline()
    claim = {"trait": yard.crest.public_id, "state": yard.gull_states[1].public_id}
    draft = actions.start_draft(by=yard.collectors[1], at=now(), variant=base, content={"claims": [claim]})
    actions.attach_photo(by=draft.author, at=now(), data=picture(), submission=draft)
    actions.send_submission(submission=draft, by=draft.author, at=now())
    base.refresh_from_db()
    assert base.standing == "contested"
    assert agrees(yard)


@pytest.mark.parametrize("photo_is_kept", [True, False])
def test_a_dispute_with_a_photo_contests_while_the_photo_is_there(photo_is_kept):
    yard = Yard()
    base = yard.baseline()
    dispute = actions.open_dispute(
        claim=claim_on(base, yard.crest),
        state=yard.gull_states[1],
        by=yard.collectors[1],
        reason="A gull.",
        at=now(),
    )
    photo = actions.attach_photo(by=yard.collectors[1], at=now(), data=picture(), dispute=dispute)
    assert as_stored(yard.release)["variants"][base.public_id][0] == "contested"
    if not photo_is_kept:
        yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    expected = "contested" if photo_is_kept else "verified"
    assert as_stored(yard.release)["variants"][base.public_id][0] == expected
    assert agrees(yard)


def test_votes_and_disputes_on_statements_bear_on_no_standing():
    yard = Yard()
    base = yard.baseline()
    other = yard.report(yard.gull_states[1], base=base)
    statement = actions.make_statement(
        by=yard.collectors[0], at=now(), release=yard.release, kind="before", variant=base, other=other,
        source_kind="dated_sighting", source="a kiosk receipt",
    )  # fmt: skip
    before = as_stored(yard.release)
    actions.cast_vote(statement=statement, by=yard.reviewers[0], at=now(), verdict="confirms", basis="photo")
    actions.withdraw_vote(statement=statement, by=yard.reviewers[0], at=now())
    dispute = actions.open_dispute(
        statement=statement, by=yard.reviewers[1], reason="The other first.", at=now()
    )
    photo = actions.attach_photo(by=yard.reviewers[1], at=now(), data=picture(), dispute=dispute)
    yard.moderate("take_down_photo", photo=photo, reason="A face is in it.")
    yard.moderate("close_dispute", dispute=dispute, reason="The receipt is plain.")
    assert as_stored(yard.release) == before
    assert agrees(yard)


def test_a_proposed_release_with_all_that_comes_with_it_replays():
    yard = Yard()
    by = yard.collectors[0]
    proposes = {
        "release": {"line": yard.line.public_id, "name": "Brinewagon, low water", "year": 2026},
        "pack": {"name": "Blister", "kind": "single_card"},
        "traits": [{"ref": "t", "name": "Winch", "place": "front", "kind": "part"}],
        "states": [{"ref": "s", "trait": "ref:t", "name": "drum winch"}],
    }
    content = {"proposes": proposes, "claims": [{"trait": "ref:t", "state": "ref:s"}]}
    draft = actions.start_draft(by=by, at=now(), casting=yard.casting, content=content)
    sent = actions.send_submission(submission=draft, by=by, at=now())
    yard.release = sent.release
    claim = Claim.objects.get(variant=sent.variant, is_difference=True)
    assert agrees(yard)
    yard.moderate("accept", thing=claim.trait, alterable=False)
    assert agrees(yard)
    yard.moderate("accept", thing=claim.state)
    yard.moderate("accept", thing=sent.release)
    assert agrees(yard)
    yard.moderate("rename", thing=claim.state, name="drum")
    yard.moderate("adopt_trait", release=sent.release, trait=claim.trait, seen_in_pack=True)
    assert agrees(yard)
    yard.verify(sent.variant)
    assert sent.variant.standing == "verified"
    assert agrees(yard)


def test_a_merged_state_a_merged_trait_and_a_merged_release_replay():
    yard = Yard()
    base = yard.baseline()
    variant = yard.verify(yard.report(yard.gull_states[1], base=base, cause="parallel"))
    yard.moderate("merge", thing=yard.gull_states[1], into=yard.gull_states[2])
    assert agrees(yard)
    badge, _ = yard.trait("badge", "print", "roof", ("anchor", "heron"), seen_in_pack=True)
    yard.moderate("adopt_trait", release=yard.release, trait=badge, seen_in_pack=False)
    yard.moderate("merge", thing=yard.crest, into=badge)
    variant.refresh_from_db()
    assert variant.standing == "verified"
    assert agrees(yard)
    twin = yard.moderate(
        "add_release", casting=yard.casting, line=yard.line, name="Brinewagon, spring tide", year=2025
    )
    yard.moderate("adopt_trait", release=twin, trait=badge, seen_in_pack=True)
    yard.moderate("merge", thing=yard.release, into=twin)
    yard.release = twin
    assert agrees(yard)


def test_packs_that_are_added_and_merged_replay():
    yard = Yard()
    base = yard.report(yard.wheel_states[0])
    for owner in yard.collectors:
        yard.show(base, by=owner, views=("rivets", "axles"), condition="loose")
    yard.vote(claim_on(base, yard.wheels))
    assert claim_on(base, yard.wheels).standing == "confirmed"
    said = {"line": yard.line, "kind": "single_card", "contents": {yard.release: 1}}
    opaque = yard.moderate("add_pack", name="Carton", is_see_through=False, **said)
    assert claim_on(base, yard.wheels).standing == "confirmed"
    clear = yard.moderate("add_pack", name="Blister", **said)
    assert claim_on(base, yard.wheels).standing == "open"
    assert agrees(yard)
    yard.moderate("merge", thing=clear, into=opaque)
    assert claim_on(base, yard.wheels).standing == "confirmed"
    assert agrees(yard)
    yard.moderate("mark_sealed_unobtainable", release=yard.release)
    assert agrees(yard)


def test_roles_suspensions_and_links_replay():
    yard = Yard(reviewers=5)
    base = yard.baseline()
    assert not as_stored(yard.release)["founding"]
    yard.moderate("suspend", member=yard.reviewers[4], reason="Spam.")
    assert not as_stored(yard.release)["founding"]
    yard.moderate("revoke_role", member=yard.reviewers[3], role="reviewer", reason="Away.")
    assert as_stored(yard.release)["founding"]
    assert agrees(yard)
    yard.moderate("reinstate", member=yard.reviewers[4], reason="It was a mistake.")
    assert not as_stored(yard.release)["founding"]
    assert agrees(yard)
    owners = [example.owner for example in yard.examples()]
    hub = MemberFactory()
    yard.moderate("declare_link", first=owners[0], second=hub)
    yard.moderate("declare_link", first=hub, second=owners[1])
    base.refresh_from_db()
    assert base.standing == "provisional"
    assert agrees(yard)


def test_a_name_read_before_it_changed_is_not_what_a_dispute_keeps():
    yard = Yard()
    claim, gull = claim_on(yard.baseline(), yard.crest), yard.gull_states[1]
    assert gull.trait.name == "Crest"
    yard.moderate("rename", thing=Trait.objects.get(pk=yard.crest.pk), name="Badge")
    actions.open_dispute(claim=claim, state=gull, by=yard.reviewers[5], reason="A gull.", at=now())
    assert agrees(yard)
