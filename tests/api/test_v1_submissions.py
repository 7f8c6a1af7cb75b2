"""Reports over the API: drafts, changes to them, sending, and every input that is refused."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.methods.identifiers import mint
from registry.models import Claim, Photo, Submission, Variant
from tests.factories import MemberFactory, ReleaseFactory, StateFactory, TraitFactory
from tests.path import Scene
from tests.pictures import jpeg, vast_png

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def author(scene):
    return Caller(scene.author)


def said(*states, kind="stated", **more):
    claims = [{"trait": state.trait.public_id, "state": state.public_id, "kind": kind} for state in states]
    return {"content": {"claims": claims, **more}}


def draft(author, release, **body):
    answer = author.post("/v1/submissions", {"release": release.public_id, **body})
    assert answer.status_code == 201, answer.content
    return answer


def test_a_draft_is_begun_changed_and_sent(scene, author):
    begun = draft(author, scene.release)
    address = begun["Location"]
    assert (begun.json()["status"], begun.json()["revision"]) == ("draft", 1)
    assert begun["ETag"] == author.get(address)["ETag"]
    body = said(scene.anchor, title="Anchor crest")
    changed = author.patch(address, body, match=begun["ETag"])
    assert changed.json()["revision"] == 2
    sent = author.post(f"{address}/send")
    assert (sent.status_code, sent.json()["status"]) == (200, "sent")
    record = Caller().get(f"/v1/variants/{sent.json()['variant']}").json()
    assert (record["title"], record["standing"], record["claims"]["crest"]["state"]) == (
        "Anchor crest", "provisional", "anchor",
    )  # fmt: skip
    problem(author.patch(address, body, match="*"), 409, "already-closed")
    problem(author.post(f"{address}/withdraw"), 409, "already-closed")


def test_a_patch_merges_and_null_removes(scene, author):
    begun = draft(author, scene.release, **said(scene.anchor, title="Anchor", note="seen twice"))
    address = begun["Location"]
    patch = {"content": {"title": "Anchor crest", "note": None, "nicknames": ["hook top"]}}
    content = author.patch(address, patch, match=begun["ETag"]).json()["content"]
    assert content["title"] == "Anchor crest"
    assert content["nicknames"] == ["hook top"]
    assert "note" not in content
    assert len(content["claims"]) == 1
    cleared = author.patch(address, {"release": None, "casting": None}, match="*").json()
    assert (cleared["release"], cleared["casting"]) == (None, None)


def test_T42_only_the_first_of_two_changes_to_one_copy_is_taken(scene, author):
    begun = draft(author, scene.release)
    address, etag = begun["Location"], begun["ETag"]
    assert author.patch(address, {"content": {"title": "first"}}, match=etag).status_code == 200
    told = problem(author.patch(address, {"content": {"title": "second"}}, match=etag), 412, "etag-stale")
    assert told["revision"] == 2
    assert told["etag"] == author.get(address)["ETag"]
    assert author.get(address).json()["content"] == {"title": "first"}
    problem(author.patch(address, {"content": {}}), 428, "if-match-required")


def test_T26_anothers_draft_looks_like_nothing_at_all(scene, author):
    begun = draft(author, scene.release)
    photo = author.attach(jpeg(), submission=begun.json()["id"]).json()["id"]
    other = Caller(MemberFactory())
    for path in (begun["Location"], f"/v1/photos/{photo}"):
        invented = path.rpartition("/")[0] + "/" + mint()
        for method in ("GET", "PATCH"):
            body = None if method == "GET" else {}
            answers = [other.send(method, one, body, If_Match="*") for one in (path, invented)]
            told = [problem(answer, 404, "not-found") for answer in answers]
            assert len(answers[0].content) == len(answers[1].content)
            assert [one | {"instance": ""} for one in told[:1]] == [
                one | {"instance": ""} for one in told[1:]
            ]
    for step in ("send", "withdraw"):
        problem(other.post(f"{begun['Location']}/{step}"), 404, "not-found")
    told = problem(other.attach(jpeg(), submission=begun.json()["id"]), 422, "validation-failed")
    assert told["errors"][0]["code"] == "unknown-reference"
    assert Caller().get("/v1/photos").json()["results"] == []
    assert other.get("/v1/submissions").json()["results"] == []
    assert [row["id"] for row in author.get("/v1/submissions").json()["results"]] == [begun.json()["id"]]


@pytest.mark.parametrize(
    "key", ["standing", "is_staff", "role", "owner", "author", "weight", "id", "status", "revision"]
)
def test_T25_what_is_not_writable_is_refused_and_nothing_changes(key, scene, author):
    told = problem(author.post("/v1/submissions", {key: "x"}), 422, "validation-failed")
    assert told["errors"][0] == {
        "pointer": f"/{key}",
        "code": "unknown-key",
        "detail": "This key is not known here. Known: casting, release, variant, differs_from, content.",
    }
    assert not Submission.objects.exists()
    begun = draft(author, scene.release)
    problem(author.patch(begun["Location"], {key: "x"}, match="*"), 422, "validation-failed")
    problem(author.patch(begun["Location"], {"content": {key: "x"}}, match="*"), 422, "validation-failed")
    assert author.get(begun["Location"])["ETag"] == begun["ETag"]


def refused_on_sending(author, scene, body, slug, pointer, **more):
    """The draft is kept, nothing else is; the answer points at the field."""
    before = (Variant.objects.count(), Claim.objects.count())
    begun = draft(author, scene.release, **body, **more)
    told = problem(author.post(f"{begun['Location']}/send"), 422, slug)
    assert told["errors"][0]["pointer"] == pointer, told
    assert (Variant.objects.count(), Claim.objects.count()) == before
    assert author.get(begun["Location"]).json()["status"] == "draft"
    return told


def test_an_unknown_trait_or_state_is_refused(scene, author):
    invented = mint()
    body = {"content": {"claims": [{"trait": invented, "state": scene.anchor.public_id}]}}
    told = refused_on_sending(author, scene, body, "unknown-reference", "/claims/0/trait")
    assert invented in told["detail"]
    body = {"content": {"claims": [{"trait": scene.crest.public_id, "state": invented}]}}
    refused_on_sending(author, scene, body, "unknown-reference", "/claims/0/state")


def test_a_state_of_another_trait_is_refused(scene, author):
    body = {"content": {"claims": [{"trait": scene.crest.public_id, "state": scene.red.public_id}]}}
    told = refused_on_sending(author, scene, body, "validation-failed", "/claims/0/state")
    assert "Choose a state of Roof crest" in told["detail"]


def test_a_trait_that_the_release_has_not_adopted_is_refused(scene, author):
    state = StateFactory(trait=TraitFactory(line=scene.release.line))
    refused_on_sending(author, scene, said(state), "validation-failed", "/claims/0/trait")


def test_a_variant_equal_to_an_existing_one_is_refused_and_named(scene, author):
    base = scene.report(scene.anchor, scene.red)
    twin = scene.report(scene.gull, base=base)
    body = said(scene.gull, kind="difference")
    told = refused_on_sending(author, scene, body, "twin-exists", "/claims", differs_from=base.public_id)
    assert told["twin"] == twin.public_id


def test_a_report_that_names_no_difference_is_refused(scene, author):
    base = scene.report(scene.anchor)
    refused_on_sending(
        author, scene, said(scene.gull), "difference-missing", "/claims", differs_from=base.public_id
    )


def test_a_near_twin_of_a_name_is_asked_about_first(scene, author):
    proposes = {"states": [{"ref": "s", "trait": scene.crest.public_id, "name": "anchors"}]}
    claims = [{"trait": scene.crest.public_id, "state": "ref:s"}]
    body = {"content": {"claims": claims, "proposes": proposes}}
    told = refused_on_sending(author, scene, body, "near-twin", "/proposes/states/name")
    assert told["twins"] == [{"id": scene.anchor.public_id, "name": "anchor"}]
    proposes["states"][0]["is_new"] = True
    begun = draft(author, scene.release, **body)
    sent = author.post(f"{begun['Location']}/send")
    assert sent.status_code == 200, sent.content
    proposed = Caller().get("/v1/states", {"acceptance": "proposed"}).json()["results"]
    assert [state["name"] for state in proposed] == ["anchors"]


@pytest.mark.parametrize(
    "xywh", ["percent:90,0,20,10", "percent:0,95,5,5.01", "percent:0,0,0,5", "0,0,1,1", "percent:-1,0,5,5"]
)
def test_a_mark_outside_the_picture_is_refused(xywh, scene, author):
    begun = draft(author, scene.release)
    photo = author.attach(jpeg(), submission=begun.json()["id"]).json()["id"]
    content = {
        **said(scene.anchor)["content"],
        "examples": [{"ref": "e", "condition": "loose"}],
        "photos": [{"photo": photo, "examples": ["ref:e"]}],
        "marks": [{"photo": photo, "example": "ref:e", "trait": scene.crest.public_id, "xywh": xywh}],
    }
    author.patch(begun["Location"], {"content": content}, match="*")
    told = problem(author.post(f"{begun['Location']}/send"), 422, "validation-failed")
    assert told["errors"][0]["pointer"].endswith("xywh")
    assert not Variant.objects.exists()


def test_text_with_control_characters_is_refused(scene, author):
    told = problem(
        author.post("/v1/submissions", said(scene.anchor, title="Anchor\u0008crest")),
        422,
        "validation-failed",
    )
    assert told["errors"][0]["pointer"] == "/content/title"
    assert "U+0008" in told["detail"]
    assert not Submission.objects.exists()


def test_a_proposed_pack_with_a_wrong_check_digit_is_refused(scene, author):
    proposes = {"pack": {"name": "Single card", "kind": "single_card", "gtin": "6291041500214"}}
    body = said(scene.anchor, proposes=proposes)
    refused_on_sending(author, scene, body, "validation-failed", "/proposes/pack/gtin")


def test_a_found_month_in_the_future_is_refused(scene, author):
    month = (timezone.now() + timedelta(days=70)).strftime("%Y-%m")
    examples = [{"ref": "e", "condition": "loose", "found_month": month}]
    told = refused_on_sending(
        author, scene, said(scene.anchor, examples=examples), "in-the-future", "/examples/found_month"
    )
    assert month in told["detail"]


@pytest.mark.parametrize(
    "picture",
    [vast_png(), b"<html><script>alert(1)</script></html>", b"", jpeg()[:200], b"GIF89a" + b"\x00" * 50],
    ids=["50,000 x 50,000", "HTML named .jpg", "empty", "cut short", "GIF"],
)
def test_a_picture_that_cannot_be_taken_is_refused(picture, scene, author):
    begun = draft(author, scene.release)
    told = problem(
        author.attach(picture, submission=begun.json()["id"]),
        422,
        "image-refused" if picture else "validation-failed",
    )
    assert told["errors"][0]["pointer"] == "/data"
    assert not Photo.objects.exists()


def test_a_proposed_casting_and_release_are_usable_at_once(scene, author):
    maker, line = scene.release.line.maker.public_id, scene.release.line.public_id
    content = {
        "title": "Grey body",
        "claims": [{"trait": scene.crest.public_id, "state": scene.gull.public_id}],
        "proposes": {
            "casting": {"maker": maker, "name": "Pilot Sprat", "what": "kei van"},
            "release": {"line": line, "casting": "ref:casting", "name": "Pilot Sprat", "year": 2025},
        },
    }
    answer = author.post("/v1/submissions", {"content": content})
    sent = author.post(f"{answer['Location']}/send")
    assert sent.status_code == 200, sent.content
    release = Caller().get(f"/v1/releases/{sent.json()['release']}").json()
    assert (release["acceptance"], release["name"]) == ("proposed", "Pilot Sprat")


def test_own_drafts_cost_the_same_however_many_they_are(scene, author, queries_of):
    for _ in range(2):
        draft(author, ReleaseFactory())
    few = queries_of(lambda: author.get("/v1/submissions"))
    for _ in range(18):
        draft(author, ReleaseFactory())
    assert queries_of(lambda: author.get("/v1/submissions")) == few <= 6


def test_a_wrong_picture_is_taken_out_of_a_draft(scene, author):
    draft = scene.draft()
    photo = author.attach(jpeg(), submission=draft.public_id).json()["id"]
    path = f"/v1/submissions/{draft.public_id}/photos/{photo}"
    problem(Caller(scene.reviewers[0]).delete(path), 404, "not-found")
    assert author.delete(path).status_code == 204
    problem(author.delete(path), 404, "not-found")
    assert not draft.photos.exists()
