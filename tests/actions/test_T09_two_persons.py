"""T09: what takes two moderators: one asks, another confirms, both stand in the journal."""

from datetime import timedelta

import pytest

from registry import actions
from registry.actions import two_persons
from registry.errors import (
    AccountClosed,
    AlreadyClosed,
    IdentityMoved,
    InvalidField,
    RoleRequired,
    SecondPersonNeeded,
    UnknownReference,
    WrongMoment,
)
from registry.methods.guards import DEED_WAITS, MODERATOR_REMEMBERED
from registry.models import JournalEntry, Member, ModeratorEvent, PendingDeed, Variant
from tests.actions.watching import journal_lines, refused
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory
from tests.path import Scene, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def first():
    return ModeratorFactory()


@pytest.fixture
def second():
    return ModeratorFactory()


def ask(by, member, role="reviewer", reason="A steady eye."):
    said = {"member": member.public_id, "role": role}
    return two_persons.ask(kind="role.grant", detail=said, reason=reason, by=by, at=now())


def roles(member):
    return Member.objects.get(pk=member.pk).roles


def test_T09_one_moderator_asks_the_same_person_cannot_confirm_and_a_second_does_it(first, second):
    member = MemberFactory()
    with journal_lines() as lines:
        pending = ask(first, member, "moderator")
        assert pending.outcome == "waiting"
        assert not roles(member)
        with pytest.raises(SecondPersonNeeded):
            two_persons.confirm(pending=pending, by=first, at=now())
        done = two_persons.confirm(pending=pending, by=second, at=now())
    assert (done.outcome, done.decided_by) == ("done", second)
    assert roles(member) == {"moderator"}
    own = [(line.verb, line.by) for line in lines if line.by]
    assert own == [("deed.asked", first), ("deed.confirmed", second), ("role.granted", first)]
    assert lines[-1].detail["seconded_by"] == second.public_id


def test_T09_where_there_is_one_moderator_nobody_could_confirm_so_it_is_done_at_once(first):
    member = MemberFactory()
    assert ask(first, member) is None
    assert roles(member) == {"reviewer"}


@pytest.mark.parametrize("send_away", [actions.suspend, actions.revoke_role])
def test_T09_who_sends_the_other_away_does_not_act_alone_for_a_month(first, second, send_away):
    role = {} if send_away is actions.suspend else {"role": "moderator"}
    send_away(member=second, by=first, at=now(), reason="Spam.", **role)
    pending = ask(first, MemberFactory(), "moderator")
    assert pending.outcome == "waiting"
    with refused(SecondPersonNeeded):
        two_persons.confirm(pending=pending, by=first, at=now())
    if send_away is actions.suspend:
        actions.revoke_role(member=second, role="moderator", by=first, at=now(), reason="Spam.")
    later = now() + MODERATOR_REMEMBERED + timedelta(minutes=1)
    said = {"member": MemberFactory().public_id, "role": "reviewer"}
    assert two_persons.ask(kind="role.grant", detail=said, reason="Alone now.", by=first, at=later) is None


def test_T09_no_way_around_it_through_the_action_itself(first, second):
    member, reviewer = MemberFactory(), ReviewerFactory()
    for seconded_by in (None, first):
        with refused(SecondPersonNeeded):
            actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=seconded_by)
    with refused(RoleRequired):
        actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=reviewer)
    actions.grant_role(member=member, role="reviewer", by=first, at=now(), seconded_by=second)
    assert roles(member) == {"reviewer"}


@pytest.mark.parametrize("who", [MemberFactory, ReviewerFactory])
def test_T09_others_neither_ask_nor_confirm_nor_decline(first, second, who):
    other, member = who(), MemberFactory()
    pending = ask(first, member)
    with refused(RoleRequired, says=["moderator"]):
        ask(other, member)
    for decide in (two_persons.confirm, two_persons.decline):
        with refused(RoleRequired, says=["moderator"]):
            decide(pending=pending, by=other, at=now())


def test_T09_it_is_decided_once(first, second):
    pending = ask(first, MemberFactory())
    two_persons.decline(pending=pending, by=first, at=now())
    for decide in (two_persons.confirm, two_persons.decline):
        with refused(AlreadyClosed, says=["declined"]):
            decide(pending=pending, by=second, at=now())


def test_T09_it_runs_out_after_two_weeks(first, second):
    pending = ask(first, MemberFactory())
    with refused(AlreadyClosed, says=["in time"]):
        two_persons.confirm(pending=pending, by=second, at=pending.asked_at + DEED_WAITS)
    assert PendingDeed.objects.waiting(pending.asked_at + DEED_WAITS - timedelta(seconds=1)).exists()
    assert not PendingDeed.objects.waiting(pending.asked_at + DEED_WAITS).exists()


def test_T09_who_asked_must_still_be_a_moderator_when_it_is_confirmed(first, second):
    pending = ask(first, MemberFactory())
    actions.revoke_role(member=first, role="moderator", by=second, at=now(), reason="Away.")
    with refused(RoleRequired):
        two_persons.confirm(pending=pending, by=second, at=now())
    other = ModeratorFactory()
    late = ask(other, MemberFactory())
    actions.suspend(member=other, by=second, at=now(), reason="Spam.")
    with refused(AccountClosed):
        two_persons.confirm(pending=late, by=second, at=now())


def test_T09_what_cannot_be_is_refused_when_it_is_asked_for(first, second):
    member = MemberFactory()
    with refused(InvalidField, field="role"):
        ask(first, member, "king")
    with refused(InvalidField, field="reason"):
        ask(first, member, reason="")
    at, said = now(), {"member": "nobody", "role": "reviewer"}
    with refused(UnknownReference, field="member"):
        two_persons.ask(kind="role.grant", detail=said, reason="Yes.", by=first, at=at)
    with refused(InvalidField, field="kind"):
        two_persons.ask(kind="crown", detail=said, reason="Yes.", by=first, at=at)
    with refused(InvalidField, field="detail"):
        two_persons.ask(kind="role.grant", detail={"member": "x"}, reason="Yes.", by=first, at=at)


def test_T09_the_same_is_asked_for_once(first, second):
    member = MemberFactory()
    waiting = ask(first, member)
    for by in (first, second):
        with refused(WrongMoment, says=["waits for a second moderator already"]):
            ask(by, member, reason="Once more.")
    two_persons.decline(pending=waiting, by=first, at=now())
    assert ask(second, member).outcome == "waiting"


@pytest.fixture
def scene(second):
    """Its moderator is one of two."""
    return Scene()


def strike(scene, variant, by=None):
    return asked("variant.strike", by or scene.moderator, variant=variant.public_id, reason_code="hoax")


def merge(scene, variant, into):
    return asked("variant.merge", scene.moderator, variant=variant.public_id, into=into.public_id)


def asked(kind, by, **detail):
    return two_persons.ask(kind=kind, detail=detail, reason="Painted at home.", by=by, at=now())


def standing(variant):
    return Variant.objects.get(pk=variant.pk).standing


def test_T09_a_strike_always_takes_two(scene, second):
    variant = scene.report(scene.anchor, scene.red, title="Anchor")
    pending = strike(scene, variant)
    assert standing(variant) == "provisional"
    assert pending.words == f"Strike “Anchor” ({variant.shown_id}): a hoax"
    with refused(SecondPersonNeeded):
        two_persons.confirm(pending=pending, by=scene.moderator, at=now())
    with journal_lines() as lines:
        two_persons.confirm(pending=pending, by=second, at=now())
    assert standing(variant) == "struck"
    event = ModeratorEvent.objects.get()
    assert (event.by, event.seconded_by, event.reason) == (scene.moderator, second, "Painted at home.")
    struck = next(line for line in lines if line.verb == "variant.struck")
    assert (struck.by, struck.detail["seconded_by"]) == (scene.moderator, second.public_id)


@pytest.mark.parametrize("way", ["the merged one is listed", "the survivor is listed"])
def test_T09_a_merge_takes_two_where_either_is_listed(scene, second, way):
    base = scene.baseline()
    other = scene.report(scene.gull, base=base)
    variant, into = (base, other) if "merged" in way else (other, base)
    pending = merge(scene, variant, into)
    assert standing(variant) != "merged"
    assert pending.words == (
        f"Merge “{variant.title}” ({variant.shown_id}) into “{into.title}” ({into.shown_id})"
    )
    two_persons.confirm(pending=pending, by=second, at=now())
    assert Variant.objects.get(pk=variant.pk).merged_into == into


def test_T09_two_that_are_not_listed_yet_are_merged_by_one_moderator(scene):
    base = scene.report(scene.anchor, scene.red)
    variant = scene.report(scene.gull, base=base)
    assert merge(scene, variant, base) is None
    assert standing(variant) == "merged"
    assert not PendingDeed.objects.exists()


def test_T09_no_way_around_it_through_the_events_themselves(scene, second):
    base = scene.baseline()
    variant = scene.report(scene.gull, base=base)
    why = {"variant": variant, "reason": "Painted.", "by": scene.moderator}
    for do, said in (
        (actions.strike_variant, {"reason_code": "hoax"}),
        (actions.merge_variants, {"into": base}),
    ):
        with refused(SecondPersonNeeded):
            do(**why, **said, at=now())
    actions.strike_variant(**why, reason_code="hoax", at=now(), seconded_by=second)
    assert standing(variant) == "struck"


def test_T09_what_is_gone_when_it_is_confirmed_is_refused_and_goes_on_waiting(scene, second):
    base = scene.baseline()
    variant = scene.report(scene.gull, base=base)
    late = merge(scene, variant, base)
    two_persons.confirm(pending=strike(scene, variant), by=second, at=now())
    with refused(IdentityMoved, field="variant"):
        two_persons.confirm(pending=late, by=second, at=now())
    late.refresh_from_db()
    assert late.outcome == "waiting"
    with refused(IdentityMoved, field="variant"):
        strike(scene, variant)
    assert JournalEntry.objects.filter(verb="deed.confirmed").count() == 1


def test_T09_a_strike_that_cannot_be_is_refused_when_it_is_asked_for(scene):
    with refused(UnknownReference, field="variant"):
        asked("variant.strike", scene.moderator, variant="nothing", reason_code="hoax")
    said = {"variant": scene.report(scene.anchor).public_id, "reason_code": "dull"}
    with refused(InvalidField, field="reason_code"):
        asked("variant.strike", scene.moderator, **said)
