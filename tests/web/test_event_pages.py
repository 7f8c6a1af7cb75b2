"""The moderators' page of a variant: what a merge would do, and each step through its form."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry import actions
from registry.models import Dispute, PendingDeed, Variant
from tests.factories import ModeratorFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def pair(scene):
    base = scene.report(scene.anchor, scene.red)
    return base, scene.report(scene.gull, base=base, title="Gull", cause="running_change")


@pytest.fixture
def moderator(as_member, scene):
    return as_member(scene.moderator)


def page_of(variant):
    return f"/variants/{variant.public_id}/moderate"


def fresh(variant):
    return Variant.objects.get(pk=variant.pk)


def test_only_moderators_have_the_page(as_member, scene, pair):
    assert as_member(scene.author).get(page_of(pair[0])).status_code == 403
    assert as_member().get(page_of(pair[0])).status_code == 302
    assert "Merge, split or strike" not in as_member(scene.author).get(f"/variants/{pair[0].public_id}").text


@pytest.mark.parametrize("by", ["id", "title"])
def test_a_merge_is_seen_beforehand_and_then_done(moderator, client, pair, by):
    base, variant = pair
    into = base.shown_id if by == "id" else base.title.upper()
    text = moderator.get(page_of(variant), {"into": into}).text
    assert "Roof crest: gull: the survivor says otherwise: a dispute opens between the two" in text
    assert "it was said in relation to the baseline" in text
    answer = moderator.post(
        page_of(variant), {"do": "merge", "into": into, "reason": "One mould."}, follow=True
    )
    assert "One mould." in answer.text
    assert fresh(variant).merged_into == base
    moved = client.get(f"/variants/{variant.public_id}")
    assert (moved.status_code, moved["Cache-Control"]) == (301, "max-age=300")
    assert moved["Location"] == f"/variants/{base.public_id}"
    assert "Merged into it" in client.get(moved["Location"]).text
    moderator.post(page_of(variant), {"do": "restore", "reason": "Two moulds."})
    assert fresh(variant).merged_into is None


def test_a_dispute_in_the_way_is_named(moderator, scene, pair):
    base, variant = pair
    dispute = actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.author, reason="A gull.", at=now()
    )
    other = scene.report(scene.blue, base=base, title="Blue")
    actions.open_dispute(
        claim=claim_on(variant, scene.crest), state=scene.anchor, by=scene.author, reason="No.", at=now()
    )
    text = moderator.get(page_of(variant), {"into": other.public_id}).text
    assert "A dispute has to end first" in text
    answer = moderator.post(page_of(variant), {"do": "merge", "into": base.public_id, "reason": "Same."})
    assert answer.status_code == 422
    assert "Let it end first" in answer.text
    assert dispute.public_id not in text


def test_what_names_no_other_variant_is_refused_at_its_field(moderator, pair):
    for into in ("nonsense", pair[1].public_id):
        answer = moderator.post(page_of(pair[1]), {"do": "merge", "into": into, "reason": "Same."})
        assert answer.status_code == 422
        assert "Copy the id from its page" in answer.text
    assert "No other variant here" in moderator.get(page_of(pair[1]), {"into": "nonsense"}).text


def test_a_struck_variant_is_gone_says_why_and_comes_back(moderator, client, pair):
    base, variant = pair
    said = {"do": "strike", "reason_code": "customised", "reason": "Repainted."}
    moderator.post(page_of(variant), said)
    gone = client.get(f"/variants/{variant.public_id}")
    assert gone.status_code == 410
    assert "as a customised item: Repainted." in gone.text
    assert variant.title not in client.get(f"/releases/{base.release.public_id}").text
    assert moderator.post(page_of(variant), said).status_code == 422
    moderator.post(page_of(variant), {"do": "restore", "reason": "It is not."})
    assert client.get(f"/variants/{variant.public_id}").status_code == 200


def test_a_variant_is_split_in_two(moderator, client, scene, pair):
    variant = pair[1]
    said = {
        "do": "split", "first_title": "Red gull", "first_states": [scene.red.public_id],
        "second_title": "Blue gull", "second_states": [scene.blue.public_id], "reason": "Two stripes.",
    }  # fmt: skip
    answer = moderator.post(page_of(variant), {**said, "second_states": [scene.red.public_id]})
    assert answer.status_code == 422
    assert "no other part has" in answer.text
    moderator.post(page_of(variant), said)
    gone = client.get(f"/variants/{variant.public_id}")
    assert gone.status_code == 410
    parts = Variant.objects.filter(split_from=variant)
    assert {part.title for part in parts} == {"Red gull", "Blue gull"}
    for part in parts:
        assert f'href="/variants/{part.public_id}"' in gone.text
        assert "Split from" in client.get(f"/variants/{part.public_id}").text


def test_a_better_title_is_kept_with_its_nicknames(moderator, pair):
    said = {"do": "retitle", "title": "Gull crest", "nicknames": "Gully, Annie", "reason": "Clearer."}
    moderator.post(page_of(pair[1]), said)
    assert (fresh(pair[1]).title, fresh(pair[1]).nicknames) == ("Gull crest", ["Annie", "Gully"])


def test_what_was_decided_is_disputed_again_with_a_picture(as_member, scene, pair):
    claim = claim_on(pair[0], scene.crest)
    author, address = as_member(scene.author), f"/claims/{claim.public_id}/dispute"
    said = {"state": scene.gull.public_id, "reason": "A gull."}
    author.post(address, said)
    author.post(f"/disputes/{Dispute.objects.get().public_id}/withdraw")
    refused = author.post(address, said)
    assert refused.status_code == 422
    assert "Bring a photograph" in refused.text
    picture = SimpleUploadedFile("gull.jpg", jpeg(20, 20), "image/jpeg")
    author.post(address, {**said, "photo": picture})
    assert Dispute.objects.open().get().photos.count() == 1


def test_a_detail_in_dispute_is_shown_as_such_on_every_page_that_names_it(client, scene):
    base = scene.baseline()
    variant = scene.report(scene.gull, base=base)
    dispute = actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.author, reason="A gull.", at=now(),
        data=jpeg(20, 20),
    )  # fmt: skip
    stripe = actions.open_dispute(
        claim=claim_on(base, scene.stripe), state=scene.blue, by=scene.author, reason="Blue.", at=now(),
        data=jpeg(21, 20),
    )  # fmt: skip
    assert (dispute.contests, stripe.contests) == (True, True)
    for page in (f"/variants/{base.public_id}", f"/disputes/{dispute.public_id}"):
        assert "disputed" in client.get(page).text
    assert "has anchor (disputed)" in client.get(f"/variants/{variant.public_id}").text
    release = client.get(f"/releases/{scene.release.public_id}").text
    assert "<br><small>disputed</small>" in release  # the crest, in the table
    assert "red <small>(disputed)</small>" in release  # the stripe, on which no difference is known
    assert "contested" in client.get(f"/states/{scene.anchor.public_id}").text
    api = client.get(f"/v1/variants/{base.public_id}").json()
    assert {key: claim["standing"] for key, claim in api["claims"].items()} == {
        "crest": "disputed", "stripe": "disputed",
    }  # fmt: skip


def test_T09_a_strike_waits_for_a_second_moderator_who_confirms_it(as_member, moderator, scene, pair):
    second, variant = ModeratorFactory(), pair[1]
    said = {"do": "strike", "reason_code": "customised", "reason": "Repainted."}
    answer = moderator.post(page_of(variant), said)
    assert answer.status_code == 202
    assert "waits for a second moderator" in answer.text
    assert f"Strike “Gull” ({variant.shown_id}): a customised item: “Repainted.”" in answer.text
    assert fresh(variant).standing == "provisional"
    decide = f"/moderation/deeds/{PendingDeed.objects.get().public_id}"
    assert moderator.post(decide, {"do": "confirm"}).status_code == 403
    assert fresh(variant).standing == "provisional"
    done = as_member(second).post(decide, {"do": "confirm"}, follow=True)
    assert done.status_code == 200
    assert fresh(variant).standing == "struck"


def test_T09_a_merge_into_a_listed_variant_waits_and_asking_twice_is_refused(moderator, scene, pair):
    base, variant = pair
    scene.verify(base)
    ModeratorFactory()
    said = {"do": "merge", "into": base.public_id, "reason": "One mould."}
    assert moderator.post(page_of(variant), said).status_code == 202
    again = moderator.post(page_of(variant), said)
    assert again.status_code == 422
    assert "This waits for a second moderator already" in again.text
    assert fresh(variant).merged_into is None
