"""From the moderators' desk to what they look up: a variant, a photograph or a member; an account is suspended."""

import re

import pytest

from registry import actions
from registry.models import Concern, JournalEntry, Member, Photo, RoleGrant
from registry.queries.journal import details_as_read
from tests.factories import CastingFactory, MemberFactory, ModeratorFactory, SubmissionFactory
from tests.path import Scene, now
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db
DESK, FIND = "/moderation", "/moderation/find"


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def moderator(as_member, scene):
    return as_member(scene.moderator)


def look_up(browser, words):
    return send(browser, DESK, form_with(browser.get(DESK), "q", action=FIND), q=words)


def lines_of(member: Member) -> list[tuple[str, str]]:
    lines = JournalEntry.objects.filter(about_kind="member", about_id=member.public_id).order_by("number")
    told = details_as_read(lines)
    return [(line.verb, told[line.number].get("reason", "")) for line in lines]


def test_only_moderators_look_up_and_suspend(as_member, scene):
    for path in (FIND, "/moderation/members", f"/moderation/members/{scene.author.public_id}"):
        assert as_member().get(path).status_code == 302
        assert as_member(scene.reviewers[0]).get(path).status_code == 403
    said = {"do": "suspend", "reason": "Spam."}
    path = f"/moderation/members/{scene.author.public_id}"
    assert as_member(scene.reviewers[0]).post(path, said).status_code == 403
    assert Member.objects.get(pk=scene.author.pk).is_active


def test_a_variant_is_looked_up_by_its_id_or_title_and_split_or_merged_there(moderator, scene):
    base = scene.report(scene.anchor, title="Anchor of the quay")
    page = look_up(moderator, base.shown_id)
    assert page.request["PATH_INFO"] == f"/variants/{base.public_id}/moderate"
    assert {"Split parts out of it", "Merge it into another", "Strike it"} <= set(headings(page))
    assert look_up(moderator, "anchor quay").request["PATH_INFO"] == page.request["PATH_INFO"]
    other = scene.report(scene.gull, base=base, title="Gull of the quay", cause="parallel")
    both = look_up(moderator, "quay")
    assert both.status_code == 200
    for variant in (base, other):
        assert f"/variants/{variant.public_id}/moderate" in both.text


def headings(page) -> list[str]:
    return [part.split("</h2>")[0] for part in page.text.split("<h2>")[1:]]


def test_nothing_found_says_what_to_copy(moderator):
    for words in ("Nobody at all", "q", "", "4k7d-9xwp-m2cx"):
        page = moderator.get(FIND, {"q": words})
        assert page.status_code == 200
        assert "Copy the id from its page" in page.text


def test_T18_a_photograph_is_looked_up_and_taken_down_with_a_reason(moderator, scene):
    photo = scene.photo(scene.example(owner=scene.author))
    photo.submission.variant = scene.report(scene.anchor)
    photo.submission.save()
    page = look_up(moderator, photo.public_id.upper())
    address = f"/photos/{photo.public_id}"
    assert page.request["PATH_INFO"] == address
    without = moderator.post(f"{address}/say", {"do": "take_down"})
    assert without.status_code == 422
    send(moderator, address, form_with(page, "legal"), ("do", "take_down"), reason="Shows a face.")
    assert Photo.objects.get(pk=photo.pk).taken_down_at
    line = JournalEntry.objects.get(verb="photo.taken_down")
    assert (line.by, line.about_id) == (scene.moderator, photo.public_id)
    assert details_as_read([line])[line.number]["reason"] == "Shows a face."
    assert look_up(moderator, photo.public_id).status_code == 410


def test_of_a_draft_no_photograph_is_found(moderator, scene):
    photo = actions.attach_photo(
        by=scene.author, at=now(), data=jpeg(), submission=SubmissionFactory(author=scene.author)
    )
    assert "Nothing is called that" in look_up(moderator, photo.public_id).text


def test_a_member_is_looked_up_by_name_suspended_with_a_reason_and_opened_again(as_member, moderator, scene):
    heron = MemberFactory(display_name="Heron")
    variant = scene.report(scene.anchor, by=heron)
    reader = as_member(heron)
    page = look_up(moderator, " heron ")
    address = f"/moderation/members/{heron.public_id}"
    assert page.request["PATH_INFO"] == address
    assert f"/variants/{variant.public_id}" in page.text
    form = form_with(page, "reason")
    refused = moderator.post(address, {"do": "suspend", "reason": ""})
    assert refused.status_code == 422
    page = send(moderator, address, form, ("do", "suspend"), reason="Sends one picture under many names.")
    assert "Heron is suspended." in page.text
    assert reader.get("/account").status_code == 302, "every session has ended"
    assert "Suspended: Sends one picture under many names." in page.text
    again = moderator.post(address, {"do": "suspend", "reason": "Once more."})
    assert again.status_code == 422
    assert "a moment ago" in again.text
    page = send(moderator, address, form_with(page, "reason"), ("do", "reinstate"), reason="A mix-up.")
    assert Member.objects.get(pk=heron.pk).is_active
    assert lines_of(heron) == [
        ("member.suspended", "Sends one picture under many names."),
        ("member.reinstated", "A mix-up."),
    ]
    assert page.text.index("Reinstated: A mix-up.") < page.text.index("Suspended: Sends")


def test_nobody_suspends_themselves_on_their_page_and_an_erased_account_has_nothing_to_suspend(
    moderator, scene
):
    own = moderator.get(f"/moderation/members/{scene.moderator.public_id}")
    assert "This is you" in own.text
    assert 'value="suspend"' not in own.text
    gone = MemberFactory()
    actions.erase_member(by=gone, at=now())
    page = moderator.get(f"/moderation/members/{gone.public_id}")
    assert "erased at its member’s wish" in page.text
    assert 'name="do"' not in page.text


def test_the_desk_tells_who_proposed_what_the_oldest_of_each_kind_first(moderator, scene):
    named = CastingFactory(name="Foghorn", acceptance="proposed", proposed_by=scene.author)
    CastingFactory(name="Kelp Runner", acceptance="proposed", proposed_by=None)
    text = moderator.get(DESK).text
    assert text.index("Foghorn") < text.index("Kelp Runner")
    assert f"/moderation/casting/{named.public_id}" in text
    assert f"by {scene.author.display_name}" in text
    assert "by nobody known" in text


def test_what_was_done_of_late_leads_to_where_it_is_taken_back(moderator, scene):
    variant = scene.report(scene.anchor)
    actions.strike_variant(
        variant=variant, reason_code="hoax", reason="Painted at home.", by=scene.moderator, at=now()
    )
    text = moderator.get(DESK).text
    assert "Painted at home." in text
    address = f"/variants/{variant.public_id}/moderate"
    assert address in text
    assert "Restore it" in moderator.get(address).text


def test_T09_a_role_given_from_a_members_page_still_takes_two(as_member, moderator):
    member = MemberFactory(display_name="Mudlark")
    ModeratorFactory()
    page = moderator.get(f"/moderation/members/{member.public_id}")
    assert "/moderation/members?member=Mudlark" in page.text
    form = form_with(moderator.get("/moderation/members?member=Mudlark"), "member")
    assert form.said["member"] == ["Mudlark"]
    waits = moderator.post(form.action, {**form.said, "role": "reviewer", "reason": "Asks well."})
    assert waits.status_code == 202
    assert "Waiting for a second moderator" in waits.text
    assert not RoleGrant.objects.filter(member=member).exists()


def test_who_is_suspended_is_listed_with_since_when_why_and_by_whom_and_opened_again_from_there(
    moderator, scene, monkeypatch
):
    monkeypatch.setattr("registry.queries.moderation.MOST", 2)
    first, second, third = (MemberFactory() for _ in range(3))
    for n, member in enumerate((first, second, third)):
        actions.suspend(member=member, by=scene.moderator, at=now(), reason=f"Spam {n}.")
    closed_by_hand, gone = MemberFactory(is_active=False), MemberFactory()
    actions.erase_member(by=gone, at=now())
    pages = [moderator.get(f"/moderation/members?page={n}") for n in (1, 2)]
    names = [one.display_name for one in (first, second, third, closed_by_hand, gone)]
    assert [[name for name in names if f">{name}</a>" in page.text] for page in pages] == [
        [second.display_name, third.display_name],
        [first.display_name, closed_by_hand.display_name],
    ]
    told = pages[1].text
    assert "Spam 0." in told
    assert f"by {scene.moderator.display_name}</small>" in told
    there = f"/moderation/members/{first.public_id}"
    assert f'href="{there}#account"' in told
    page = moderator.get(there)
    assert 'id="account"' in page.text
    send(moderator, there, form_with(page, "reason"), ("do", "reinstate"), reason="A mistake.")
    assert f">{first.display_name}</a>" not in moderator.get("/moderation/members?page=2").text


def test_a_member_tells_moderators_of_a_photograph_who_read_it_on_their_desk(as_member, client, scene):
    scene.show(scene.baseline())
    photo = Photo.objects.latest("pk")
    teller = MemberFactory()
    address = f"/tell/photo/{photo.public_id}"
    assert client.get(address).status_code == 302
    page = as_member(teller).get(address)
    refused = as_member(teller).post(address, {"reason": "x" * 301})
    assert refused.status_code == 422
    assert "x" * 300 in refused.text
    send(as_member(teller), address, form_with(page, "reason"), reason="It shows a front door.")
    desk = as_member(scene.moderator).get("/moderation").text
    (concern,) = re.findall(r"/moderation/concerns/[a-z0-9]+", desk)
    assert "1 member ·" not in desk
    told = as_member(scene.moderator).get(concern).text
    assert "It shows a front door." in told
    assert str(teller) in told
    assert as_member(teller).get(concern).status_code in (403, 404)


def test_a_picture_of_an_opened_draft_is_told_of_from_its_page_and_answered_there(as_member, client, scene):
    draft, teller = SubmissionFactory(opened_at=now(), question="What differs here?"), MemberFactory()
    assert (address := f"/tell/submission/{draft.public_id}") in client.get(f"/open/{draft.public_id}").text
    assert address not in as_member(draft.author).get(f"/open/{draft.public_id}").text
    page = as_member(teller).get(address)
    answer = send(as_member(teller), address, form_with(page, "reason"), reason="There is a face in it.")
    assert answer.redirect_chain[-1][0] == f"/open/{draft.public_id}"
    concern = Concern.objects.get()
    told = as_member(scene.moderator).get(f"/moderation/concerns/{concern.public_id}").text
    assert f'href="/open/{draft.public_id}">What differs here?</a>' in told
    assert "a link is declared" not in told
    assert as_member(teller).get(f"/tell/submission/{SubmissionFactory().public_id}").status_code == 404


def test_why_a_photograph_was_taken_down_is_shown_with_the_way_to_object(client, scene):
    scene.show(scene.baseline())
    photo = Photo.objects.latest("pk")
    actions.take_down_photo(photo=photo, by=scene.moderator, at=now(), reason="It shows a front door.")
    gone = client.get(f"/photos/{photo.public_id}")
    assert gone.status_code == 410
    assert "It shows a front door." in gone.text
    assert f"/tell/photo/{photo.public_id}" in gone.text
