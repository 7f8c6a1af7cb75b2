"""The whole report, typed into the forms as they stand, without a script."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry.models import Claim, Mark, Sighting, Submission, Trait, Variant
from registry.queries import reporting
from tests.path import Scene
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


def picture(n: int = 0) -> SimpleUploadedFile:
    return SimpleUploadedFile(f"{n}.jpg", jpeg(120, 80, (40 + 90 * n, 110, 90)), content_type="image/jpeg")


def row_of(answer, name: str) -> int:
    """The number of a detail's row in the table of details."""
    return [row.detail.name for row in answer.context["forms"]["claims"].rows()].index(name)


def test_a_member_reports_a_variant_that_differs(as_member):
    scene = Scene()
    base = scene.baseline()
    member = as_member(scene.reviewers[0])

    begun = member.get("/report", {"differs_from": base.public_id})
    details = send(member, "/report", form_with(begun, "differs_from"), ("differs_from", base.public_id))
    assert details.request["PATH_INFO"].endswith("/details")
    draft = Submission.objects.get(author=scene.reviewers[0])
    home = f"/drafts/{draft.public_id}"

    crest, wheels = row_of(details, "Roof crest"), row_of(details, "Wheels")
    photos = send(
        member,
        f"{home}/details",
        form_with(details, "title"),
        ("then", "draft-photos"),
        **{f"mine_{crest}": scene.gull.public_id, f"mine_{wheels}": scene.black.public_id},
        cause="running_change",
        title="Gull crest",
        nicknames="Gully, Seabird",
    )
    assert photos.request["PATH_INFO"] == f"{home}/photos"

    photos = send(
        member,
        f"{home}/photos",
        form_with(photos, "condition"),
        ("do", "example"),
        condition="sealed",
        found_month="2026-03",
        found_shop="harbour kiosk",
        country="NL",
    )
    assert "Item 1: sealed, mine, 2026-03" in photos.text
    photos = send(member, f"{home}/photos", form_with(photos, "photos"), photos=[picture(), picture(1)])
    assert draft.photos.count() == 2
    described = form_with(photos, "views")
    assert described.said["examples"] == ["ref:e1"], "a single item is what a picture shows"
    photos = send(member, f"{home}/photos", described, ("do", "describe"), views=["seal_all_round"])

    marks = member.get(f"{home}/marks")
    form = form_with(marks, "left")
    assert form.said["example"] == ["ref:e1"], "the item that the photograph shows is offered first"
    marks = send(
        member,
        f"{home}/marks",
        form,
        ("do", "mark"),
        what=f"variant {scene.crest.public_id}",
        left="10",
        top="12.5",
        width="20",
        height="15.25",
    )
    assert "Roof crest: gull" in marks.text

    check = member.get(f"{home}/check")
    assert "Gull crest" in check.text
    sent = send(member, f"{home}/check", form_with(check, "send"))
    variant = Variant.objects.get(title="Gull crest")
    assert sent.request["PATH_INFO"] == f"/variants/{variant.public_id}"
    assert "Your report is sent." in sent.text

    assert variant.nicknames == ["Gully", "Seabird"]
    assert variant.noticed_by == scene.reviewers[0]
    claims = dict(Claim.objects.filter(variant=variant).values_list("trait__name", "state__name"))
    assert claims == {"Roof crest": "gull", "Wheels": "black", "Cause": "running change"}
    assert Claim.objects.get(variant=variant, trait=scene.crest).is_difference
    mark = Mark.objects.get(claim__variant=variant)
    assert (mark.x, mark.y, mark.w, mark.h) == (1000, 1250, 2000, 1525)
    assert mark.example.owner == scene.reviewers[0]
    assert mark.photo.views == ["seal_all_round"]


def test_a_missing_casting_release_detail_and_state_are_proposed_with_the_report(as_member):
    scene = Scene()
    line, maker = scene.release.line, scene.release.casting.maker
    member = as_member(scene.author)
    which = send(member, "/report", form_with(member.get("/report"), action="/report/begin"), ("", ""))
    draft = Submission.objects.get(author=scene.author)
    home = f"/drafts/{draft.public_id}"
    which = send(
        member,
        f"{home}/which",
        form_with(which, "maker"),
        ("do", "casting"),
        maker=maker.public_id,
        name="Pilot Sprat",
        what="kei van",
    )
    assert "Pilot Sprat (you propose it)" in which.text
    which = send(
        member,
        f"{home}/which",
        form_with(which, "livery"),
        ("do", "release"),
        line=line.public_id,
        name="Pilot Sprat, first tide",
        year="2026",
    )
    details = send(member, f"{home}/which", form_with(which, "then"), ("then", "draft-details"))
    stripe = row_of(details, "Side stripe")
    details = send(
        member,
        f"{home}/details",
        form_with(details, "title"),
        ("also", "state"),
        state_trait=scene.stripe.public_id,
        state_name="double",
    )
    assert details.context["forms"]["claims"][f"mine_{stripe}"].value() == "ref:s1", (
        "it is the answer at once"
    )
    details = send(
        member,
        f"{home}/details",
        form_with(details, "title"),
        ("also", "trait"),
        trait_name="Ladder rungs",
        trait_place="rear",
        trait_kind="count",
    )
    assert "Ladder rungs (proposed)" in details.text
    details = send(
        member,
        f"{home}/details",
        form_with(details, "title"),
        ("then", "draft-photos"),
        **{f"mine_{stripe}": "ref:s1"},
    )
    send(member, f"{home}/check", form_with(member.get(f"{home}/check"), "send"))
    variant = Variant.objects.get(release__name="Pilot Sprat, first tide")
    assert variant.release.casting.name == "Pilot Sprat"
    assert not variant.release.is_accepted
    assert Claim.objects.get(variant=variant, trait=scene.stripe).state.name == "double"
    assert Trait.objects.get(name="Ladder rungs").acceptance == "proposed"


def test_a_report_on_a_known_variant_needs_no_difference(as_member):
    scene = Scene()
    base = scene.baseline()
    member = as_member(scene.reviewers[1])
    begun = member.get("/report", {"variant": base.public_id})
    details = send(member, "/report", form_with(begun, "variant"), ("variant", base.public_id))
    draft = Submission.objects.get(author=scene.reviewers[1])
    wheels = row_of(details, "Wheels")
    send(
        member,
        f"/drafts/{draft.public_id}/details",
        form_with(details, "cause"),
        ("then", "draft-photos"),
        **{f"mine_{wheels}": scene.chrome.public_id},
    )
    check = f"/drafts/{draft.public_id}/check"
    send(member, check, form_with(member.get(check), "send"))
    assert Claim.objects.open().get(variant=base, trait=scene.wheels).state == scene.chrome


def test_an_equal_variant_is_named_before_anything_is_sent(as_member):
    scene = Scene()
    base = scene.baseline()
    twin = scene.change(base, scene.gull)
    draft = scene.draft(
        base=base,
        claims=[
            {
                "trait": scene.crest.public_id,
                "state": scene.gull.public_id,
                "kind": "difference",
                "base_state": scene.anchor.public_id,
            }
        ],
    )
    member = as_member(scene.author)
    home = f"/drafts/{draft.public_id}/check"
    looked = member.get(home)
    assert "Is it one of these?" in looked.text
    assert twin.title in looked.text
    answer = member.post(home)
    assert answer.status_code == 422
    assert f'href="/variants/{twin.public_id}"' in answer.text
    assert form_with(answer, "variant").buttons == [("variant", twin.public_id)]
    draft.refresh_from_db()
    assert draft.status == "draft"


def known_page(as_member, scene, base, **said):
    """From the details of a find of the author's to what comes next, with these states said of it."""
    draft = scene.draft(base=base)
    member, home = as_member(scene.author), f"/drafts/{draft.public_id}/details"
    details = member.get(home)
    mine = {f"mine_{row_of(details, name)}": state.public_id for name, state in said.items()}
    return member, send(member, home, form_with(details, "title"), ("then", "draft-photos"), **mine)


def test_an_equal_variant_is_told_right_after_the_details(as_member):
    scene = Scene()
    base = scene.baseline()
    twin = scene.change(base, scene.gull)
    member, page = known_page(as_member, scene, base, **{"Roof crest": scene.gull})
    assert page.request["PATH_INFO"].endswith("/known")
    assert "It is already listed with just what you say differs" in page.text
    assert f'href="/releases/{scene.release.public_id}/sighting?variant={twin.public_id}"' in page.text
    assert "It is another: say what tells them apart" in page.text
    it = form_with(page, action="/report/begin")
    begun = send(member, page.request["PATH_INFO"], it, ("variant", twin.public_id))
    assert Submission.objects.get(variant=twin, author=scene.author, status="draft")
    assert begun.request["PATH_INFO"].endswith("/details")


def test_a_likely_duplicate_is_told_with_what_only_one_of_the_two_says(as_member):
    scene = Scene()
    base = scene.baseline()
    scene.change(base, scene.gull)
    _, page = known_page(as_member, scene, base, Wheels=scene.chrome, **{"Side stripe": scene.blue})
    assert "Nothing that both say differs" in page.text
    assert "It is also listed with Roof crest: gull." in page.text
    assert "You also say Side stripe: blue; Wheels: chrome." in page.text
    assert "It is another: go on to the photographs" in page.text


def test_a_report_in_which_nothing_differs_is_told_so_before_photographs_are_taken(as_member):
    scene = Scene()
    base = scene.baseline()
    member, page = known_page(as_member, scene, base, Wheels=scene.chrome)
    home = page.request["PATH_INFO"].removesuffix("/known")
    told = f'<a href="{home}/details">in one row, say what yours shows and what {base} shows</a>'
    assert told in page.text
    assert "It is another: say what tells them apart" in page.text
    assert told in member.get(f"{home}/check").text
    refused = member.post(f"{home}/check", {"send": "yes"})
    assert "its state here and its state on the variant it differs from" in refused.text
    assert told not in refused.text


def test_a_report_that_names_no_known_variant_is_led_to_where_one_is_chosen(as_member):
    scene = Scene()
    scene.baseline()
    member, page = known_page(as_member, scene, None, Wheels=scene.chrome)
    home = page.request["PATH_INFO"].removesuffix("/known")
    assert f'<a href="{home}/which">choose the known variant that yours differs from</a>' in page.text
    refused = member.post(f"{home}/check", {"send": "yes"})
    assert f'<p><a href="{home}/which">Mend it</a></p>' in refused.text


def test_what_a_find_is_said_to_differ_from_is_not_asked_about_again(as_member):
    scene = Scene()
    base = scene.baseline()
    said = {"trait": scene.wheels.public_id, "state": scene.chrome.public_id, "kind": "stated"}
    alike = scene.draft(base=base, claims=[said])
    assert [known.variant for known in reporting.known_alike(alike, [])] == [base]
    apart = scene.draft(
        base=base, claims=[{**said, "kind": "difference", "base_state": scene.black.public_id}]
    )
    assert reporting.known_alike(apart, []) == []


def test_where_nothing_is_alike_the_photographs_follow_at_once(as_member):
    scene = Scene()
    base = scene.baseline()
    member, page = known_page(as_member, scene, base, **{"Roof crest": scene.gull})
    assert page.request["PATH_INFO"].endswith("/photos")
    draft = Submission.objects.get(author=scene.author, status="draft")
    assert member.get(f"/drafts/{draft.public_id}/known").headers["Location"].endswith("/photos")


def test_a_near_twin_is_asked_about_and_can_be_confirmed(as_member):
    scene = Scene()
    scene.release.casting.name = "Kelp Runner"
    scene.release.casting.save()
    draft = scene.draft(
        proposes={
            "casting": {"name": "Kelp Runners", "maker": scene.release.casting.maker.public_id},
            "release": {"name": "Kelp Runners", "year": 2026, "line": scene.release.line.public_id},
        },
        claims=[{"trait": scene.crest.public_id, "state": scene.gull.public_id, "kind": "stated"}],
    )
    draft.release = draft.casting = None
    draft.save()
    member = as_member(scene.author)
    home = f"/drafts/{draft.public_id}/check"
    asked = member.post(home)
    assert asked.status_code == 422
    assert "Kelp Runner" in asked.text
    send(member, home, form_with(asked, "confirm"), ("confirm", "proposes.casting.name"))
    assert Variant.objects.get().release.casting.name == "Kelp Runners"


def test_a_wrong_picture_is_taken_out_of_a_draft_again(as_member):
    scene = Scene()
    draft, member = scene.draft(), as_member(scene.author)
    home = f"/drafts/{draft.public_id}/photos"
    photos = send(member, home, form_with(member.get(home), "photos"), photos=[picture(), picture(1)])
    wrong, right = draft.photos.order_by("pk")
    page = member.post(f"{home}/{wrong.public_id}/discard", follow=True)
    assert page.text.count("Take this picture out") == photos.text.count("Take this picture out") - 1 == 1
    assert list(draft.photos.all()) == [right]
    assert as_member(scene.reviewers[0]).post(f"{home}/{right.public_id}/discard").status_code == 404
    assert member.post(f"{home}/{wrong.public_id}/discard").status_code == 404


def test_no_picture_at_all_is_said_to_be_missing(as_member):
    scene = Scene()
    member, home = as_member(scene.author), f"/drafts/{scene.draft().public_id}/photos"
    answer = send(member, home, form_with(member.get(home), "photos"))
    assert answer.status_code == 422
    assert "This is needed" in answer.text


def test_a_script_that_sends_one_picture_is_answered_in_json(as_member):
    scene = Scene()
    draft, member = scene.draft(), as_member(scene.author)
    home = f"/drafts/{draft.public_id}/photos/upload"

    def sent(file):
        return member.post(home, {"revision": 1, "photos": file}, headers={"Accept": "application/json"})

    assert (sent(picture()).status_code, sent(picture()).json()) == (200, {})
    assert draft.photos.count() == 1, "the same bytes are the same photograph"
    refused = sent(SimpleUploadedFile("notes.jpg", b"no picture"))
    assert (refused.status_code, refused.json()["refused"][:10]) == (422, "notes.jpg:")
    Submission.objects.filter(pk=draft.pk).update(status="withdrawn")
    assert sent(picture(1)).json() == {"refused": "This report is withdrawn."}


def test_what_was_seen_elsewhere_is_noted_and_kept_when_the_report_is_sent(as_member):
    scene = Scene()
    base = scene.baseline()
    draft = scene.draft(
        base=base,
        claims=[{"trait": scene.crest.public_id, "state": scene.gull.public_id, "kind": "difference"}],
    )
    member, home = as_member(scene.author), f"/drafts/{draft.public_id}"
    seen = {"n": "3", "scope": "peg", "seen_on": "2026-03-14", "country": "NL", "region": "12 Harbour Street"}
    page = member.get(f"{home}/sightings")
    page = send(member, f"{home}/sightings", form_with(page, "seen_on"), ("do", "sighting"), **seen)
    assert "3 × a peg or shelf" in page.text
    refused = send(member, f"{home}/check", form_with(member.get(f"{home}/check"), "send"))
    assert "reads like an address" in refused.text
    assert f'href="{home}/sightings">Mend it' in refused.text
    page = send(member, f"{home}/sightings", form_with(page, "ref"), ("do", "drop_sighting"))
    assert "3 × a peg or shelf" not in page.text
    seen["region"] = "Harbour coast"
    page = send(member, f"{home}/sightings", form_with(page, "seen_on"), ("do", "sighting"), **seen)
    send(member, f"{home}/check", form_with(member.get(f"{home}/check"), "send"))
    variant, sighting = Variant.objects.exclude(pk=base.pk).get(), Sighting.objects.get()
    line = sighting.count_lines.get()
    assert (sighting.by, sighting.country, sighting.region) == (scene.author, "NL", "Harbour coast")
    assert (list(line.variants.all()), line.n) == ([variant], 3)
    assert not sighting.is_full_count
    assert str(variant.noticed_on) == "2026-03-14"
