"""The whole path over HTTP, once: reported, shown, voted, verified, published, pulled, disputed, corrected, published.

Read it from top to bottom; each paragraph is one thing somebody does.
"""

import gzip
import hashlib
import json
from typing import Any

import pytest

from tests.api.caller import Caller, whole
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


def done(answer: Any, status: int = 200) -> Any:
    assert answer.status_code == status, answer.content.decode()
    return answer.json() if answer.content else None


def made(answer: Any) -> Any:
    return done(answer, 201)


class Reporter(Caller):
    """A member with one example of their own, who reports what they see on it."""

    def __init__(self, month: str, shop: str) -> None:
        super().__init__(MemberFactory())
        self.found = {"found_month": month, "found_shop": shop, "country": "NL", "region": "canal belt"}

    def report(self, said: dict[str, Any], seen: list[str], colour: int) -> Any:
        """Begin a draft, attach a picture, say what it shows, mark where, and send it."""
        begun = self.post("/v1/submissions", said)
        draft = made(begun)
        photo = made(self.attach(jpeg(colour=(colour, 120, 90)), submission=draft["id"]))
        evidence = {
            "examples": [{"ref": "mine", "mine": True, "condition": "sealed", **self.found}],
            "photos": [{"photo": photo["id"], "examples": ["ref:mine"], "views": ["seal_all_round", "top"]}],
            "marks": [
                {"photo": photo["id"], "example": "ref:mine", "trait": trait, "xywh": "percent:10,10,20,20"}
                for trait in seen
            ],
        }
        address = begun["Location"]
        done(self.patch(address, {"content": evidence}, match=begun["ETag"]))
        return done(self.post(f"{address}/send"))


def confirm(reviewers: list[Caller], variant: str) -> None:
    """Each reviewer votes on every claim of a variant that is open to votes."""
    claims = done(reviewers[0].get("/v1/claims", {"variant": variant}))["results"]
    for claim in claims:
        if claim["state_key"] != "baseline":
            for reviewer in reviewers:
                done(
                    reviewer.put(f"/v1/claims/{claim['id']}/vote", {"verdict": "confirms", "basis": "photo"})
                )


def standing(variant: str) -> Any:
    return done(Caller().get(f"/v1/variants/{variant}/standing"))


class OtherProgram:
    """Knows nothing but the address: pulls the list, checks it, asks again only for what is new."""

    etag = ""

    def pull(self) -> dict[str, Any] | None:
        answer = Caller().get("/v1/editions/latest", **({"if_none_match": self.etag} if self.etag else {}))
        if answer.status_code == 304:
            return None
        self.etag, edition = answer["ETag"], answer.json()
        packed = Caller().get(f"/v1/editions/{edition['number']}/variants.ndjson.gz")
        assert packed["Content-Type"] == "application/gzip"
        assert "Content-Encoding" not in packed
        lines = gzip.decompress(whole(packed))
        assert hashlib.sha256(lines).hexdigest() == edition["files"]["variants_ndjson"]["sha256"]
        self.records = {json.loads(line)["id"]: line for line in lines.splitlines()}
        assert len(self.records) == edition["count"]
        return edition

    def record(self, variant: str) -> Any:
        return json.loads(self.records[variant])


def test_the_story():
    moderator = Caller(ModeratorFactory())
    reviewers = [Caller(ReviewerFactory()) for _ in range(6)]

    # A moderator enters what is made: a maker, a line with two things to inspect, a casting and its release.
    maker = made(moderator.post("/v1/makers", {"name": "Otterholm Tinworks"}))["id"]
    line = made(moderator.post("/v1/lines", {"maker": maker, "name": "Quayside 64", "scale": 64}))["id"]
    crest, anchor, gull = trait_with_states(moderator, line, "crest", "Roof crest", "roof", "anchor", "gull")
    stripe, red, blue = trait_with_states(
        moderator, line, "stripe", "Side stripe", "left_side", "red", "blue"
    )
    casting = made(
        moderator.post("/v1/castings", {"maker": maker, "name": "Brinewagon", "what": "salt lorry"})
    )["id"]
    issue = {"casting": casting, "line": line, "name": "Brinewagon", "year": 2025, "livery": "sea green"}
    release = made(moderator.post("/v1/releases", issue))["id"]

    # Ebba reports the first variant she has seen; Joris has one too and adds it. Six reviewers look.
    ebba, joris = Reporter("2025-02", "harbour kiosk"), Reporter("2025-04", "filling station")
    stated = [{"trait": crest, "state": anchor}, {"trait": stripe, "state": red}]
    first = ebba.report(
        {"release": release, "content": {"title": "Anchor crest", "claims": stated}}, [crest, stripe], 10
    )
    first = first["variant"]
    assert standing(first)["standing"] == "provisional"
    assert standing(first)["missing"]
    joris.report({"variant": first}, [crest, stripe], 20)
    confirm(reviewers[:3], first)
    assert (standing(first)["standing"], standing(first)["missing"]) == ("verified", [])

    # Then Ebba spots a gull where the anchor was. She must say what differs, and from which variant.
    changed = [
        {"trait": crest, "state": gull, "kind": "difference"},
        {"trait": stripe, "state": red, "kind": "alike"},
    ]
    content = {"title": "Gull crest", "cause": "running_change", "claims": changed}
    second = ebba.report(
        {"release": release, "differs_from": first, "content": content}, [crest, stripe], 30
    )["variant"]
    joris.report({"variant": second}, [crest, stripe], 40)
    confirm(reviewers[:3], second)
    assert standing(second)["standing"] == "verified"

    # A moderator publishes List no. 1, and another program pulls it. Asked again, there is nothing new.
    made(moderator.post("/v1/editions"))
    program = OtherProgram()
    edition = program.pull()
    assert edition is not None
    assert (edition["number"], edition["count"]) == (1, 2)
    assert program.pull() is None
    live = Caller().get(f"/v1/variants/{second}")
    assert live.content == program.records[second]
    digest = hashlib.sha256(b"\x00" + live.content).hexdigest()
    assert live["ETag"] == f'"{digest[:32]}"'
    assert Caller().get(f"/v1/variants/{second}", if_none_match=live["ETag"]).status_code == 304

    # Sef, a reviewer, holds his own in daylight: the stripe is blue. He objects, with a photo.
    sef = reviewers[5]
    claims = done(sef.get("/v1/claims", {"variant": second, "trait": stripe}))["results"]
    objection = {"claim": claims[0]["id"], "state": blue, "reason": "In daylight the stripe is blue."}
    dispute = made(sef.post("/v1/disputes", objection))
    assert not dispute["contests"]
    show(sef, release, dispute, "2025-06")
    assert done(Caller().get(f"/v1/disputes/{dispute['id']}"))["contests"]
    assert done(Caller().get(f"/v1/claims/{claims[0]['id']}"))["standing"] == "disputed"

    # The others look again and agree with him. The votes decide: the claim is corrected, in a new revision.
    for reviewer in reviewers[:5]:
        done(reviewer.put(f"/v1/claims/{dispute['rival']}/vote", {"verdict": "confirms", "basis": "photo"}))
    assert done(Caller().get(f"/v1/disputes/{dispute['id']}"))["outcome"] == "corrected"
    assert standing(second)["standing"] == "verified"
    revisions = done(Caller().get(f"/v1/variants/{second}/revisions"))["results"]
    assert [revision["number"] for revision in revisions][-1] == len(revisions) >= 2
    before = done(Caller().get(f"/v1/variants/{second}", {"revision": 1}))
    assert before["claims"] == revisions[0]["claims"] != revisions[-1]["claims"]

    # List no. 2 says so, follows on no. 1, and no. 1 still reads as it did.
    old = Caller().get("/v1/editions/1/edition.json").content
    made(moderator.post("/v1/editions"))
    assert program.record(second)["claims"]["stripe"]["state"] == "red"
    edition = program.pull()
    assert edition is not None
    assert edition["previous"] == {"number": 1, "sha256": hashlib.sha256(old).hexdigest()}
    assert program.record(second)["claims"]["stripe"]["state"] == "blue"
    assert program.record(second)["revision"] == len(revisions)
    assert Caller().get("/v1/editions/1").content == old
    fate = done(Caller().get(f"/v1/variants/{second}/fate"))
    assert [(event["edition"], event["kind"]) for event in fate["events"]] == [(1, "new"), (2, "changed")]


def trait_with_states(
    moderator: Caller, line: str, key: str, name: str, place: str, *states: str
) -> tuple[str, ...]:
    said = {"line": line, "key": key, "name": name, "place": place, "kind": "print", "seen_in_pack": True}
    trait = made(moderator.post("/v1/traits", said))["id"]
    found = [
        made(moderator.post("/v1/states", {"trait": trait, "key": one, "name": one}))["id"] for one in states
    ]
    return trait, *found


def show(member: Caller, release: str, dispute: dict[str, Any], month: str) -> None:
    """An example of the member's own, pictured for a dispute, with a mark that shows what they see."""
    found = {
        "release": release,
        "condition": "sealed",
        "found_month": month,
        "found_shop": "ferry terminal shop",
    }
    example = made(member.post("/v1/examples", found))["id"]
    said = {"dispute": dispute["id"], "examples": example, "views": "seal_all_round"}
    photo = made(member.attach(jpeg(colour=(10, 10, 200)), **said))["id"]
    where = {"photo": photo, "example": example, "claim": dispute["rival"], "xywh": "percent:40,40,10,10"}
    made(member.post("/v1/marks", where))
