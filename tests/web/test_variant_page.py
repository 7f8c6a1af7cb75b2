"""A variant's page: what is claimed, what shows it, what is missing, and every revision of it."""

import pytest

from registry import actions
from registry.methods.standing.wording import unnumbered
from registry.models import ReleaseState, Variant
from tests.factories import PackFactory, VariantFactory
from tests.path import Scene, claim_on, now
from tests.queries.test_then import correct

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_a_provisional_variant_says_what_is_still_missing(client, scene):
    variant = scene.report(scene.anchor)
    text = client.get(f"/variants/{variant.public_id}").text
    assert "provisional" in text
    assert "still missing" in text
    for sentence in variant.missing:
        assert unnumbered(sentence) in text, "how many votes are missing would tell how many there are"


def test_details_show_their_marks_votes_and_the_other_side(client, scene):
    base = scene.baseline()
    variant = scene.change(base, scene.gull)
    text = client.get(f"/variants/{variant.public_id}").text
    assert "Roof crest: gull" in text
    assert f'<a href="/variants/{base.public_id}">{base.title}</a> has anchor' in text
    assert "3 confirm" in text
    assert "shown on 2 examples" in text
    mark = claim_on(variant, scene.crest).marks.first()
    assert f'<rect x="{mark.x * 1200 // 10000}"' in text
    assert 'class="crop"' in text


def test_a_detail_leads_to_how_to_look_and_a_cause_to_what_it_means(client, scene):
    text = client.get(f"/variants/{scene.baseline().public_id}").text
    assert f'<a href="/traits/{scene.crest.public_id}">How to look, state by state</a>' in text
    assert '<a href="/how/words#why">What these causes mean</a>' in text
    assert text.count("How to look, state by state") == text.count('<section class="sheet"') - 1


def test_a_claim_in_dispute_leads_to_both_sides(client, scene):
    base = scene.baseline()
    dispute = actions.open_dispute(
        by=scene.author, at=now(), claim=claim_on(base, scene.crest), state=scene.gull, reason="A gull."
    )
    text = client.get(f"/variants/{base.public_id}").text
    first_said = text[: text.index("<h2>Details</h2>")]
    assert f'href="/disputes/{dispute.public_id}"' in first_said
    assert "anchor, or gull?</a> “A gull.”" in first_said
    actions.withdraw_dispute(by=scene.author, at=now(), dispute=dispute)
    assert "In dispute" not in client.get(f"/variants/{base.public_id}").text


def test_sightings_and_what_it_was_packed_with_are_listed(client, scene):
    base = scene.baseline()
    other = scene.change(base, scene.gull)
    elsewhere = VariantFactory(title="Short stack")
    pack = PackFactory(name="Two-pack")
    actions.report_sighting(
        by=scene.author,
        at=now(),
        release=scene.release,
        scope="sealed_pack",
        pack=pack,
        seen_on=now().date(),
        count_lines=[
            {"kind": "variant", "variants": [base], "n": 1},
            {"kind": "variant", "variants": [other], "n": 1},
            {"kind": "variant", "variants": [elsewhere], "n": 1},
        ],
    )
    answer = client.get(f"/variants/{base.public_id}")
    assert "Packed together with" in answer.text
    assert answer.context["page"].packed_with == [other, elsewhere]
    assert f">{other}</a>, " in answer.text
    assert f">{elsewhere.release}: Short stack</a>" in answer.text
    assert f'1 seen, one sealed pack (<a href="/packs/{pack.public_id}">Two-pack</a>)' in answer.text


def test_any_revision_can_be_read_and_says_what_it_changed(client, scene):
    base = scene.baseline()
    draft = actions.start_draft(
        by=scene.author,
        at=now(),
        variant=base,
        content={"claims": [{"trait": scene.wheels.public_id, "state": scene.chrome.public_id}]},
    )
    actions.send_submission(submission=draft, by=scene.author, at=now())
    first = client.get(f"/variants/{base.public_id}?revision=1")
    second = client.get(f"/variants/{base.public_id}?revision=2")
    assert "This is how it stood then" in first.text
    assert "What it changed" not in first.text
    assert "not stated" in second.text
    assert '<td class="changed">chrome</td>' in second.text


@pytest.mark.parametrize("asked", ["0", "99", "x", "1.5", "9999999999", "-1"])
def test_a_revision_that_there_is_not_is_not_found(client, scene, asked):
    variant = scene.report(scene.anchor)
    assert client.get(f"/variants/{variant.public_id}?revision={asked}").status_code == 404


def test_a_struck_variant_is_gone_and_says_why(client, scene):
    variant = scene.report(scene.anchor)
    said = {"reason_code": "customised", "reason": "A custom build."}
    actions.strike_variant(variant=variant, by=scene.moderator, at=now(), **said)
    answer = client.get(f"/variants/{variant.public_id}")
    assert answer.status_code == 410
    assert "A custom build." in answer.text


def test_a_merged_variant_leads_to_the_one_that_took_its_place(client, scene):
    base = scene.baseline()
    variant = scene.report(scene.gull, base=base)
    Variant.objects.filter(pk=variant.pk).update(standing="merged", merged_into=base)
    answer = client.get(f"/variants/{variant.public_id}")
    assert answer.headers["Location"] == f"/variants/{base.public_id}"


def test_founding_rules_are_said_openly(client):
    scene = Scene()
    variant = scene.report(scene.anchor)
    Variant.objects.filter(pk=variant.pk).update(is_founding=True)
    scene.release.is_founding = True
    scene.release.save()
    assert "founding rules" in client.get(f"/variants/{variant.public_id}").text
    assert "Founding rules" in client.get(f"/releases/{scene.release.public_id}").text


def test_it_can_be_cited_and_passed_on_with_a_picture(client, scene):
    base = scene.baseline()
    page = client.get(f"/variants/{base.public_id}").text
    assert "in no List yet" in page
    actions.publish_edition(by=scene.moderator, at=now())
    page = client.get(f"/variants/{base.public_id}").text
    address = f"http://testserver/variants/{base.public_id}"
    assert "in List no. 1 of" in page
    assert f'<a href="{address}">{address}</a>' in page
    assert f'<button class="quiet" type="button" hidden data-share="{address}"' in page
    photo = claim_on(base, scene.crest).marks.first().photo
    for name, content in (
        ("og:url", address),
        ("og:title", f"{base}, {scene.release}"),
        ("og:description", f"A variant of {scene.release}, verified. Roof crest: anchor; Side stripe: red."),
        ("og:image", f"http://testserver/media/{photo.stored_as('800')}"),
    ):
        assert f'<meta property="{name}" content="{content}' in page, name
    release = client.get(f"/releases/{scene.release.public_id}").text
    assert f'<link rel="canonical" href="http://testserver/releases/{scene.release.public_id}">' in release
    assert '<meta property="og:image" content="http://testserver/media/' in release


def test_a_list_that_told_its_end_is_not_cited_for_one_that_was_restored(client, scene):
    base, said = scene.baseline(), {"by": scene.moderator, "reason": "A mix-up."}
    actions.publish_edition(by=scene.moderator, at=now())
    actions.strike_variant(variant=base, reason_code="hoax", at=now(), **said)
    actions.publish_edition(by=scene.moderator, at=now())
    actions.restore_variant(variant=base, at=now(), **said)
    page = client.get(f"/variants/{base.public_id}").text
    assert "in List no. 1 of" in page
    assert "List no. 2" not in page


def test_history_reads_as_what_was_and_what_is(client, scene):
    base = scene.baseline()
    correct(scene, base)
    page = client.get(f"/variants/{base.public_id}").text
    assert '<span class="unseen">was </span>anchor</span>' in page
    assert "<strong>gull</strong>" in page


def test_how_true_a_state_is_to_the_full_size_subject_is_said_with_its_source(client, scene):
    base = scene.baseline()
    said = {"fidelity": "departs", "subject": "a harbour lorry", "source": "a yard photograph"}
    ReleaseState.objects.update_or_create(release=scene.release, state=scene.anchor, defaults=said)
    page = " ".join(client.get(f"/variants/{base.public_id}").text.split())
    assert "departs from the full-size subject, a harbour lorry <small>(a yard photograph)</small>" in page


def test_members_who_may_vote_are_led_to_say_that_theirs_agrees(as_member, scene):
    variant = scene.report(scene.anchor)
    link = f'href="/variants/{variant.public_id}/agree"'
    assert link in as_member(scene.reviewers[0]).get(f"/variants/{variant.public_id}").text
    assert link not in as_member(scene.author).get(f"/variants/{variant.public_id}").text, (
        "it is their own report"
    )
    assert link not in as_member(None).get(f"/variants/{variant.public_id}").text
