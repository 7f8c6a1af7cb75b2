"""Merge, split, strike, restore and retitle over /v1, and what an id answers after that."""

import pytest
from django.utils import timezone

from registry import actions
from registry.models import Variant
from tests.factories import ModeratorFactory
from tests.path import Scene, claim_on, now

from .caller import Caller, problem

pytestmark = pytest.mark.django_db
WHY = {"reason": "One and the same."}


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def pair(scene):
    base = scene.report(scene.anchor, scene.red)
    return base, scene.report(scene.gull, base=base, cause="running_change")


@pytest.fixture
def moderator(scene):
    return Caller(scene.moderator)


def tag(variant):
    return f'"{Variant.objects.get(pk=variant.pk).record_digest[:32]}"'


def do(caller, variant, deed, said, match=None):
    headers = {"If-Match": match or tag(variant)}
    return caller.post(f"/v1/variants/{variant.public_id}/{deed}", said, **headers)


def test_a_merged_id_leads_to_its_survivor_and_takes_no_change(scene, pair, moderator):
    base, variant = pair
    claim = claim_on(variant, scene.crest)
    answer = do(moderator, variant, "merge", {"into": base.public_id, **WHY})
    assert answer.status_code == 200
    told = answer.json()
    assert (told["standing"], told["into"]) == ("merged", base.public_id)
    assert [event["kind"] for event in told["events"]] == ["merged"]
    for path in ("", "/standing", "/revisions", "/evidence"):
        answer = Caller().get(f"/v1/variants/{variant.public_id}{path}")
        assert (answer.status_code, answer["Location"]) == (301, f"/v1/variants/{base.public_id}{path}")
        assert answer["Cache-Control"] == "max-age=300"
        assert answer.json() == {"moved_to": f"/v1/variants/{base.public_id}{path}"}
    told = problem(do(moderator, variant, "retitle", {"title": "Gull", **WHY}), 409, "identity-moved")
    assert told["moved_to"] == f"/v1/variants/{base.public_id}"
    vote = {"verdict": "confirms", "basis": "photo"}
    voter = Caller(scene.reviewers[0])
    problem(voter.put(f"/v1/claims/{claim.public_id}/vote", vote), 409, "identity-moved")
    assert Caller().get(f"/v1/claims/{claim.public_id}").json()["closed_at"] is not None


def test_votes_on_a_merged_claim_are_told_with_the_survivor(scene, pair, moderator):
    base, variant = pair
    twin = scene.report(scene.gull, scene.black, base=with_wheels(scene, base))
    scene.vote(claim_on(variant, scene.crest), voters=1)
    scene.vote(claim_on(twin, scene.crest), voters=2)
    gone = claim_on(variant, scene.crest).public_id
    do(moderator, variant, "merge", {"into": twin.public_id, **WHY})
    kept = claim_on(twin, scene.crest).public_id
    assert Caller(scene.reviewers[0]).get(f"/v1/claims/{kept}").json()["votes"]["confirms"] == 2
    assert Caller().get(f"/v1/claims/{gone}").json()["merged_into"] == kept


def with_wheels(scene, base):
    claim = {"trait": scene.wheels.public_id, "state": scene.chrome.public_id}
    draft = actions.start_draft(by=scene.author, at=now(), variant=base, content={"claims": [claim]})
    actions.send_submission(submission=draft, by=scene.author, at=now())
    return Variant.objects.get(pk=base.pk)


def test_merging_back_is_a_circle(pair, moderator):
    base, variant = pair
    do(moderator, variant, "merge", {"into": base.public_id, **WHY})
    problem(do(moderator, base, "merge", {"into": variant.public_id, **WHY}), 409, "merge-cycle")


def test_a_stale_copy_is_refused(pair, moderator):
    base, variant = pair
    before = tag(variant)
    do(moderator, variant, "retitle", {"title": "Gull on the roof", **WHY})
    problem(do(moderator, variant, "merge", {"into": base.public_id, **WHY}, match=before), 412, "etag-stale")


def test_a_struck_id_is_gone_and_its_fate_is_told_for_ever(scene, pair, moderator):
    base, variant = pair
    scene.verify(base)
    assert moderator.post("/v1/editions").status_code == 201
    said = {"reason_code": "hoax", "reason": "A painted one."}
    assert do(moderator, base, "strike", said).status_code == 200
    told = problem(Caller().get(f"/v1/variants/{base.public_id}"), 410, "struck")
    assert told["reason_code"] == "hoax"
    problem(do(moderator, base, "strike", said), 409, "identity-moved")
    assert moderator.post("/v1/editions").status_code == 201
    answer = Caller().get(told["fate"])
    told = [(event["kind"], event.get("edition")) for event in answer.json()["events"]]
    assert told == [("new", 1), ("struck", None), ("ended", 2)]
    assert [row["id"] for row in Caller().get("/v1/variants").json()["results"]] == [variant.public_id]
    back = do(moderator, base, "restore", {"reason": "It was real."}, match=answer["ETag"])
    assert back.json()["standing"] == "verified"
    assert Caller().get(f"/v1/variants/{base.public_id}").status_code == 200
    problem(do(moderator, base, "restore", WHY, match=answer["ETag"]), 412, "etag-stale")


@pytest.mark.parametrize("keeps", [True, False])
def test_a_split_with_and_without_a_main_part(scene, pair, moderator, keeps):
    variant = pair[1]
    parts = [
        {"title": "Red stripe", "states": [scene.red.public_id]},
        {"title": "Blue stripe", "states": [scene.blue.public_id], "nicknames": ["Bluey"]},
    ]
    told = do(moderator, variant, "split", {"parts": parts, "keeps": keeps, "reason": "Two kinds."}).json()
    new = [event["into"] for event in told["events"] if event["kind"] == "parted"]
    assert [Caller().get(f"/v1/variants/{part}").json()["title"] for part in new] == [
        "Red stripe",
        "Blue stripe",
    ]
    assert {Caller().get(f"/v1/variants/{part}").json()["split_from"] for part in new} == {variant.public_id}
    assert Caller().get(f"/v1/variants/{new[0]}/fate").json()["split_from"] == variant.public_id
    if keeps:
        assert Caller().get(f"/v1/variants/{variant.public_id}").json()["split_out"] == sorted(new)
        return
    gone = problem(Caller().get(f"/v1/variants/{variant.public_id}"), 410, "identity-split")
    assert gone["successors"] == told["successors"] == sorted(new)
    problem(do(moderator, variant, "strike", {"reason_code": "hoax", **WHY}), 409, "identity-moved")


def test_a_better_title_is_told_as_a_revision(pair, moderator):
    answer = do(moderator, pair[0], "retitle", {"title": "First tide", "nicknames": ["Anna"], **WHY})
    assert (answer.status_code, answer.json()["number"], answer.json()["title"]) == (200, 2, "First tide")
    problem(do(moderator, pair[0], "retitle", {"title": "First tide", **WHY}), 422, "validation-failed")


def test_what_was_decided_is_reopened_with_a_photograph(scene, pair):
    claim = claim_on(pair[0], scene.crest)
    said = {"claim": claim.public_id, "state": scene.gull.public_id, "reason": "A gull."}
    caller = Caller(scene.author)
    opened = caller.post("/v1/disputes", said).json()
    caller.post(f"/v1/disputes/{opened['id']}/withdraw")
    told = problem(caller.post("/v1/disputes", said), 409, "decided-before")
    assert told["dispute"] == opened["id"]
    scene.show(pair[0])
    photo = scene.photo(scene.example(), added_at=timezone.now())
    assert caller.post("/v1/disputes", {**said, "photo": photo.public_id}).status_code == 201


def test_sightings_and_statements_name_the_survivor(scene, pair, moderator):
    base, variant = pair
    actions.report_sighting(
        by=scene.author, at=now(), release=scene.release, scope="peg", seen_on=now().date(),
        count_lines=[{"kind": "variant", "variants": [variant], "n": 3}],
    )  # fmt: skip
    do(moderator, variant, "merge", {"into": base.public_id, **WHY})
    row = Caller().get("/v1/sightings").json()["results"][0]
    assert row["count_lines"][0]["variants"] == [base.public_id]


def test_T09_a_strike_is_202_the_same_moderator_403_and_the_second_200(scene, pair, moderator):
    variant, second = pair[1], Caller(ModeratorFactory())
    answer = do(moderator, variant, "strike", {"reason_code": "hoax", "reason": "A painted one."})
    assert answer.status_code == 202
    told = answer.json()
    assert (told["kind"], told["outcome"]) == ("variant.strike", "waiting")
    assert (told["asked_by"], told["reason"]) == (scene.moderator.public_id, "A painted one.")
    assert Caller().get(f"/v1/variants/{variant.public_id}").status_code == 200
    address = answer["Location"]
    assert address == f"/v1/deeds/{told['id']}"
    assert second.get("/v1/deeds").json()["results"] == [told]
    problem(moderator.post(f"{address}/confirm"), 403, "second-person-needed")
    assert Caller().get(f"/v1/variants/{variant.public_id}").status_code == 200
    done = second.post(f"{address}/confirm")
    assert done.status_code == 200
    assert done.json()["outcome"] == "done"
    problem(Caller().get(f"/v1/variants/{variant.public_id}"), 410, "struck")
    assert second.get("/v1/deeds").json()["results"] == []
    assert moderator.get(address).json()["decided_at"] is not None


def test_T09_a_merge_of_a_listed_variant_waits_and_can_be_declined(scene, pair, moderator):
    base, variant = pair
    scene.verify(base)
    second = Caller(ModeratorFactory())
    answer = do(moderator, variant, "merge", {"into": base.public_id, **WHY})
    assert answer.status_code == 202
    declined = second.post(f"{answer['Location']}/decline")
    assert (declined.status_code, declined.json()["outcome"]) == (200, "declined")
    problem(second.post(f"{answer['Location']}/confirm"), 409, "already-closed")
    assert Variant.objects.get(pk=variant.pk).merged_into is None


def test_T09_what_waits_is_for_moderators_alone(scene, pair, moderator):
    ModeratorFactory()
    waiting = do(moderator, pair[1], "strike", {"reason_code": "hoax", **WHY})["Location"]
    reader = Caller(scene.moderator, scopes=["read", "contribute"])
    for path in ("/v1/deeds", waiting):
        assert Caller().get(path).status_code == 401
        problem(Caller(scene.reviewers[0]).get(path), 403, "role-required")
        problem(reader.get(path), 403, "scope-missing")
        assert moderator.get(path)["Cache-Control"] == "private, no-store"
