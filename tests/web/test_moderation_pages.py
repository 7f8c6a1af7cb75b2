"""The moderators' desk: who gets in, and what each step does."""

import hashlib
import re

import pytest
from django.urls import resolve

from registry import actions
from registry.models import Edition, JournalEntry, Release, RoleGrant, Trait
from registry.queries.journal import details_as_read
from tests.factories import CastingFactory, MemberFactory, ModeratorFactory, TraitFactory
from tests.path import Scene, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_what_waits_for_a_moderator_comes_before_hints_and_what_is_done(as_member):
    text = as_member(ModeratorFactory()).get("/moderation").text
    heads = re.findall("<h2>(.*?)</h2>", text)
    assert heads[1:6] == [
        "Waiting for a second moderator", "Concerns", "Held disputes", "Open disputes", "Pictures that look alike",
    ]  # fmt: skip


def test_only_moderators_get_in(as_member, scene):
    for path in ("/moderation", f"/moderation/casting/{scene.release.casting.public_id}"):
        assert as_member().get(path).status_code == 302
        assert as_member(scene.author).get(path).status_code == 403
        assert as_member(scene.reviewers[0]).get(path).status_code == 403
        assert as_member(scene.moderator).get(path).status_code == 200
    for path in ("/moderation/roles", f"/moderation/roles/{scene.author.public_id}/revoke"):
        assert (
            as_member(scene.author)
            .post(path, {"member": scene.author.display_name, "role": "moderator"})
            .status_code
            == 403
        )
    assert not RoleGrant.objects.filter(member=scene.author).exists()


def test_a_proposed_detail_is_accepted_with_whether_it_can_be_altered(as_member, scene):
    trait = TraitFactory(
        line=scene.release.line, acceptance="proposed", proposed_by=scene.author, alterable=True
    )
    moderator = as_member(scene.moderator)
    assert trait.name in moderator.get("/moderation").text
    address = f"/moderation/trait/{trait.public_id}"
    form = form_with(moderator.get(address), "alterable")
    form.said.pop("alterable")
    page = send(moderator, address, form, ("do", "accept"))
    assert page.request["PATH_INFO"] == "/moderation"
    trait = Trait.objects.get(pk=trait.pk)
    assert (trait.acceptance, trait.alterable) == ("accepted", False)


def test_no_kind_of_proposed_things_hides_another_and_each_has_a_page_with_all_of_it(
    as_member, scene, monkeypatch
):
    monkeypatch.setattr("registry.queries.moderation.MOST", 4)
    castings = [CastingFactory(name=f"Foghorn {n}", acceptance="proposed") for n in range(6)]
    traits = [
        TraitFactory(line=scene.release.line, name=f"Rungs {n}", acceptance="proposed") for n in range(2)
    ]
    moderator = as_member(scene.moderator)
    desk = moderator.get("/moderation").text
    assert [one.name for one in (*castings, *traits) if one.name in desk] == [
        "Foghorn 0", "Foghorn 1", "Rungs 0", "Rungs 1",
    ]  # fmt: skip
    assert '<a href="/moderation/casting">casting: all 6</a>' in desk
    assert "detail: all" not in desk
    pages = [moderator.get(f"/moderation/casting?page={n}").text for n in (1, 2)]
    assert [[n for n in range(6) if f"Foghorn {n}" in text] for text in pages] == [[0, 1, 2, 3], [4, 5]]
    assert moderator.get("/moderation/wheel").status_code == 404
    assert as_member(scene.author).get("/moderation/casting").status_code == 403


def test_a_proposed_casting_gets_a_better_name(as_member, scene):
    casting = CastingFactory(name="Fogghorn", acceptance="proposed", proposed_by=scene.author)
    moderator = as_member(scene.moderator)
    address = f"/moderation/casting/{casting.public_id}"
    page = moderator.get(address)
    assert f"Proposed by {scene.author}." in page.text
    assert "It is proposed" not in page.text
    send(moderator, address, form_with(page, "name"), ("do", "rename"), name="Foghorn")
    casting.refresh_from_db()
    assert casting.name == "Foghorn"


def test_a_moderator_says_the_wheelbase_of_a_known_casting(as_member, scene):
    casting, moderator = CastingFactory(name="Foghorn"), as_member(scene.moderator)
    page = moderator.get(f"/castings/{casting.public_id}")
    address = f"/moderation/casting/{casting.public_id}"
    assert address in page.text
    assert "Wheelbase" not in page.text
    assert "Accept it" not in moderator.get(address).text
    form = form_with(moderator.get(address), "wheelbase")
    send(moderator, address, form, ("do", "rename"), wheelbase="40.25")
    casting.refresh_from_db()
    assert (casting.name, casting.wheelbase_um) == ("Foghorn", 40_250)
    assert "<dt>Wheelbase</dt><dd>40.25 mm</dd>" in moderator.get(f"/castings/{casting.public_id}").text
    form = form_with(moderator.get(address), "wheelbase")
    assert form.said["wheelbase"] == ["40.25"]
    assert "between" not in send(moderator, address, form, ("do", "rename"), wheelbase="").text
    casting.refresh_from_db()
    assert casting.wheelbase_um is None
    refused = moderator.post(address, {"do": "rename", "name": "Foghorn", "wheelbase": "-3"})
    assert (refused.status_code, "Write 0.001 or more" in refused.text) == (422, True)


def test_a_proposed_casting_is_merged_into_a_known_one(as_member, scene):
    known = scene.release.casting
    casting = CastingFactory(maker=known.maker, acceptance="proposed", proposed_by=scene.author)
    moderator = as_member(scene.moderator)
    address = f"/moderation/casting/{casting.public_id}"
    wrong = moderator.post(address, {"do": "merge", "into": "nonsense", "reason": "One mould."})
    assert wrong.status_code == 422
    assert "No casting has this id" in wrong.text
    send(
        moderator,
        address,
        form_with(moderator.get(address), "into"),
        ("do", "merge"),
        into=known.public_id.upper(),
        reason="One mould.",
    )
    casting.refresh_from_db()
    assert casting.merged_into == known
    line = JournalEntry.objects.get(verb="casting.merged")
    assert details_as_read([line])[line.number]["reason"] == "One mould."


def test_a_merge_without_a_reason_is_asked_for_one(as_member, scene):
    casting = CastingFactory(maker=scene.release.casting.maker, acceptance="proposed")
    said = {"do": "merge", "into": scene.release.casting.public_id}
    answer = as_member(scene.moderator).post(f"/moderation/casting/{casting.public_id}", said)
    assert answer.status_code == 422
    casting.refresh_from_db()
    assert casting.merged_into is None


def test_what_cannot_be_proposed_has_no_page(as_member, scene):
    moderator = as_member(scene.moderator)
    assert moderator.get(f"/moderation/member/{scene.author.public_id}").status_code == 404
    assert moderator.get(f"/moderation/casting/{scene.release.public_id}").status_code == 404
    assert Release.objects.filter(public_id=scene.release.public_id).exists()


def test_a_role_is_given_by_name_and_taken_away(as_member, scene):
    member = MemberFactory(display_name="Mudlark")
    moderator = as_member(scene.moderator)
    page = send(
        moderator,
        "/moderation/members",
        form_with(moderator.get("/moderation/members"), "member"),
        member=" mudlark ",
        role="reviewer",
        reason="A steady eye.",
    )
    assert "Mudlark is now a reviewer" in page.text
    again = moderator.post("/moderation/roles", {"member": "Mudlark", "role": "reviewer", "reason": "x"})
    assert again.status_code == 422
    assert "already is a reviewer" in again.text
    unknown = moderator.post("/moderation/roles", {"member": "Nobody", "role": "reviewer", "reason": "x"})
    assert "Nobody has this name" in unknown.text
    own = f"/moderation/members/{member.public_id}"
    assert f'href="{own}#role"' in moderator.get("/moderation/members").text
    unsaid = moderator.post(f"/moderation/roles/{member.public_id}/revoke", {"role": "reviewer"})
    assert unsaid.status_code == 422
    assert "This is needed" in unsaid.text
    page = send(moderator, own, form_with(moderator.get(own), "role"), role="reviewer", reason="Moved away.")
    assert "Mudlark is a reviewer no more" in page.text
    assert "A role taken away: reviewer: Moved away." in page.text
    assert not RoleGrant.objects.filter(member=member, revoked_at=None).exists()


def test_a_moderator_publishes_the_next_list_and_sees_it(as_member, scene):
    scene.baseline()
    moderator = as_member(scene.moderator)
    address = "/moderation/lists/publish"
    page = send(moderator, "/moderation", form_with(moderator.get("/moderation"), action=address))
    assert page.request["PATH_INFO"] == "/lists/1"
    assert "List no. 1" in page.text
    again = moderator.post(address)
    assert again.status_code == 409
    assert "Nothing that is published has changed" in again.text
    assert as_member(scene.author).post(address).status_code == 403
    assert Edition.objects.count() == 1


def test_a_list_says_what_it_changed_and_where_its_files_are(client, scene):
    base = scene.baseline()
    edition = actions.publish_edition(by=scene.moderator, at=now())
    answer = client.get("/lists/1")
    assert edition.records_digest in answer.text
    assert edition.digest in answer.text
    assert base.title in answer.text
    for name in actions.FILES:
        address = f"/v1/editions/1/{name}"
        assert f'href="{address}"' in answer.text
        assert resolve(address).namespace == "v1"
    table = b"".join(client.get("/v1/editions/1/variants.csv"))
    assert hashlib.sha256(table).hexdigest() in answer.text
    assert 'href="/v1/editions/1/variants.csv"' in client.get("/lists").text
    assert client.get("/lists/2").status_code == 404


def test_a_list_whose_votes_were_weighed_says_so_in_words_and_leads_to_how(client, scene):
    base = scene.baseline()
    actions.publish_edition(by=scene.moderator, at=now())
    weighed = 'each vote weighed by <a href="/how/votes">how reliable its reviewer has been</a>.'
    assert weighed not in client.get("/lists/1").text
    actions.adopt_fit(fit=actions.make_fit(at=now()), at=now(), reason="The votes of this month.")
    scene.change(base, scene.gull)
    actions.publish_edition(by=scene.moderator, at=now())
    text = client.get("/lists/2").text
    assert weighed in text
    assert "fit 1" not in text


def test_a_very_long_list_of_changes_is_cut_and_says_so(client, scene, monkeypatch):
    monkeypatch.setattr("registry.web.views.editions.MOST_SHOWN", 1)
    scene.change(scene.baseline(), scene.gull)
    actions.publish_edition(by=scene.moderator, at=now())
    answer = client.get("/lists/1")
    assert len(answer.context["changes"]) == 1
    assert "the files have them all" in answer.text
