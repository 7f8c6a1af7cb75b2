"""T24: what each route answers to each kind of person. A new route, or method of one, without a row fails.

Everybody asks about records that belong to somebody else. Writes are sent an empty object: a status that is neither
401 nor 403 says that the person may knock; 404 that the record is not theirs to see; 409, 422 and 428 that the
request itself is then looked at.
"""

import pytest
from django.db import transaction
from django.urls import URLPattern
from django.utils import timezone

from api.urls import urlpatterns
from registry import actions
from registry.actions import two_persons
from registry.models import Pack
from tests.factories import (
    AssortmentItemFactory,
    CabinetItemFactory,
    MemberFactory,
    ModeratorFactory,
    PackContentFactory,
    ReviewerFactory,
    SightingFactory,
    StatementFactory,
)
from tests.gloss import GlossReadingFactory
from tests.measured import MeasurementFactory
from tests.opened import RemarkFactory, an_opened_draft
from tests.path import Scene, claim_on, now

from .caller import Caller, whole

pytestmark = pytest.mark.django_db
PEOPLE = ("anonymous", "member", "reviewer", "moderator", "suspended")
# method, name of the route, then the status for each of PEOPLE in that order
TABLE = """
GET    api                     200 200 200 200 401
GET    api-document            200 200 200 200 401
GET    problems                200 200 200 200 401
GET    problem                 200 200 200 200 401
GET    search                  200 200 200 200 401
POST   identify                422 422 422 422 401
GET    makers                  200 200 200 200 401
POST   makers                  401 403 403 422 401
GET    maker                   200 200 200 200 401
GET    lines                   200 200 200 200 401
POST   lines                   401 403 403 422 401
GET    line                    200 200 200 200 401
GET    line-codes              200 200 200 200 401
POST   line-codes              401 403 403 422 401
GET    castings                200 200 200 200 401
POST   castings                401 403 403 422 401
GET    casting                 200 200 200 200 401
PATCH  casting                 401 403 403 428 401
POST   casting-accept          401 403 403 409 401
POST   casting-merge           401 403 403 422 401
GET    releases                200 200 200 200 401
POST   releases                401 403 403 422 401
GET    release                 200 200 200 200 401
PATCH  release                 401 403 403 428 401
POST   release-accept          401 403 403 409 401
POST   release-merge           401 403 403 422 401
GET    release-traits          200 200 200 200 401
POST   release-traits          401 403 403 422 401
GET    release-states          200 200 200 200 401
PUT    release-state           401 403 403 422 401
POST   release-availability    401 403 403 422 401
POST   assortment-cases        401 403 403 422 401
POST   release-drifts          401 403 403 422 401
GET    release-checks          200 200 200 200 401
POST   release-sealed          401 403 403 422 401
GET    release-sequence        200 200 200 200 401
GET    release-abundance       200 200 200 200 401
GET    assortments             200 200 200 200 401
POST   assortments             401 403 403 422 401
GET    assortment              200 200 200 200 401
GET    packs                   200 200 200 200 401
POST   packs                   401 403 403 422 401
GET    pack                    200 200 200 200 401
PATCH  pack                    401 403 403 428 401
POST   pack-accept             401 403 403 409 401
POST   pack-merge              401 403 403 422 401
POST   pack-versions           401 403 403 422 401
POST   pack-availability       401 403 403 422 401
GET    traits                  200 200 200 200 401
POST   traits                  401 403 403 422 401
GET    trait                   200 200 200 200 401
PATCH  trait                   401 403 403 428 401
POST   trait-accept            401 403 403 409 401
POST   trait-merge             401 403 403 422 401
GET    states                  200 200 200 200 401
POST   states                  401 403 403 422 401
GET    state                   200 200 200 200 401
PATCH  state                   401 403 403 428 401
POST   state-accept            401 403 403 409 401
POST   state-merge             401 403 403 422 401
GET    submissions             401 200 200 200 401
POST   submissions             401 201 201 201 401
GET    submission              401 404 404 404 401
PATCH  submission              401 404 404 404 401
POST   submission-send         401 404 404 404 401
POST   submission-withdraw     401 404 404 404 401
POST   submission-code         401 404 404 404 401
DELETE submission-photo        401 404 404 404 401
POST   submission-open         401 404 404 404 401
GET    opened-drafts           200 200 200 200 401
GET    opened-draft            200 200 200 200 401
DELETE opened-draft            401 403 403 422 401
GET    opened-draft-remarks    200 200 200 200 401
POST   opened-draft-remarks    401 422 422 422 401
GET    remark                  200 200 200 200 401
DELETE remark                  401 403 403 204 401
GET    examples                200 200 200 200 401
POST   examples                401 422 422 422 401
GET    example                 200 200 200 200 401
GET    photos                  200 200 200 200 401
POST   photos                  401 415 415 415 401
GET    photo                   200 200 200 200 401
PATCH  photo                   401 428 428 428 401
DELETE photo                   401 403 403 422 401
POST   photo-restore           401 403 403 415 401
PUT    photo-code-seen         401 422 422 422 401
GET    photo-chart             404 404 404 404 401
PUT    photo-chart             401 422 422 422 401
GET    photo-marks             200 200 200 200 401
GET    compare                 400 400 400 400 401
GET    marks                   200 200 200 200 401
POST   marks                   401 422 422 422 401
GET    photo-annotations       200 200 200 200 401
GET    photo-measurements      200 200 200 200 401
GET    mark-annotation         200 200 200 200 401
GET    measurements            200 200 200 200 401
POST   measurements            401 422 422 422 401
GET    measurement             200 200 200 200 401
DELETE measurement             401 403 403 422 401
GET    gloss-readings          200 200 200 200 401
POST   gloss-readings          401 422 422 422 401
GET    gloss-reading           200 200 200 200 401
DELETE gloss-reading           401 403 403 422 401
GET    mark                    200 200 200 200 401
GET    mark-shine              404 404 404 404 401
DELETE mark                    401 403 403 422 401
GET    sightings               200 200 200 200 401
POST   sightings               401 422 422 422 401
POST   sightings-import        401 415 415 415 401
GET    sighting                200 200 200 200 401
POST   sighting-withdraw       401 404 404 404 401
GET    statements              200 200 200 200 401
POST   statements              401 422 422 422 401
GET    statement               200 200 200 200 401
POST   statement-close         401 403 403 200 401
GET    statement-vote          401 404 404 404 401
PUT    statement-vote          401 422 422 422 401
DELETE statement-vote          401 404 404 404 401
GET    variants                200 200 200 200 401
GET    variant                 200 200 200 200 401
GET    variant-differences     200 200 200 200 401
GET    variant-provenance      200 200 200 200 401
GET    variant-fate            200 200 200 200 401
GET    variant-revisions       200 200 200 200 401
GET    variant-standing        200 200 200 200 401
GET    variant-evidence        200 200 200 200 401
POST   variant-merge           401 403 403 428 401
POST   variant-split           401 403 403 428 401
POST   variant-strike          401 403 403 428 401
POST   variant-restore         401 403 403 428 401
POST   variant-retitle         401 403 403 428 401
GET    claims                  200 200 200 200 401
GET    claim                   200 200 200 200 401
GET    claim-gloss-readings    200 200 200 200 401
POST   claim-gloss-readings    401 422 422 422 401
GET    claim-why               200 200 200 200 401
GET    claim-vote              401 404 404 404 401
PUT    claim-vote              401 422 422 422 401
DELETE claim-vote              401 404 404 404 401
GET    votes                   401 200 200 200 401
GET    disputes                200 200 200 200 401
POST   disputes                401 422 422 422 401
GET    dispute                 200 200 200 200 401
POST   dispute-withdraw        401 403 403 403 401
POST   dispute-close           401 403 403 422 401
GET    deeds                   401 403 403 200 401
GET    deed                    401 403 403 200 401
POST   deed-confirm            401 403 403 200 401
POST   deed-decline            401 403 403 200 401
GET    fits                    200 200 200 200 401
GET    fit                     200 200 200 200 401
GET    editions                200 200 200 200 401
POST   editions                401 403 403 409 401
GET    edition-latest          200 200 200 200 401
GET    edition                 200 200 200 200 401
GET    edition-document        200 200 200 200 401
GET    edition-records         200 200 200 200 401
GET    edition-table           200 200 200 200 401
GET    me                      401 200 200 200 401
GET    me-export               401 200 200 200 401
POST   me-erase                401 422 422 422 401
GET    tokens                  401 200 200 200 401
POST   tokens                  401 422 422 422 401
GET    token                   401 404 404 404 401
DELETE token                   401 404 404 404 401
GET    cabinet                 401 200 200 200 401
POST   cabinet                 401 422 422 422 401
GET    cabinet-export          401 200 200 200 401
POST   cabinet-import          401 415 415 415 401
GET    cabinet-item            401 404 404 404 401
PATCH  cabinet-item            401 404 404 404 401
DELETE cabinet-item            401 404 404 404 401
GET    hunt                    401 200 200 200 401
PATCH  hunt                    401 428 428 428 401
GET    hunt-missing            401 200 200 200 401
"""


def rows():
    lines = [line.split() for line in TABLE.strip().splitlines()]
    return [((method, name), [int(status) for status in statuses]) for method, name, *statuses in lines]


def routes():
    """Every method of every named route."""
    for pattern in urlpatterns:
        assert isinstance(pattern, URLPattern)
        if pattern.name:
            view = pattern.callback.view_class  # type: ignore[attr-defined]
            for method in ("GET", "POST", "PUT", "PATCH", "DELETE"):
                if callable(getattr(view, method.lower(), None)) and method.lower() in view.http_method_names:
                    yield (method, pattern.name)


def test_T24_every_route_has_a_row_and_every_row_a_route():
    assert sorted(row for row, _ in rows()) == sorted(set(routes()))


@pytest.fixture
def world():
    """One record of every kind, none of them the callers'."""
    scene = Scene()
    variant = scene.report(scene.anchor, scene.red)
    example = scene.show(variant)
    photo = example.photos.get()
    claim = claim_on(variant, scene.crest)
    release = scene.release
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=scene.reviewers[0], reason="It is a gull.", at=now()
    )
    scene.verify(scene.report(scene.gull, base=variant, cause="running_change"))
    actions.make_fit(at=now())
    actions.publish_edition(by=scene.moderator, at=now())
    owner = Caller(MemberFactory())
    said = {"member": MemberFactory().public_id, "role": "reviewer"}
    deed = two_persons.ask(
        kind="role.grant", detail=said, reason="A steady eye.", by=ModeratorFactory(), at=timezone.now()
    )
    opened = an_opened_draft(scene, scene.author)
    ids = {
        "maker": release.line.maker, "line": release.line, "casting": release.casting, "release": release,
        "assortment": AssortmentItemFactory(release=release).assortment,
        "pack": PackContentFactory(release=release).pack, "trait": scene.crest, "state": scene.anchor,
        "submission": scene.draft(), "example": example, "photo": photo, "mark": photo.marks.first(),
        "sighting": SightingFactory(release=release), "statement": StatementFactory(variant=variant),
        "variant": variant, "claim": claim, "dispute": dispute, "token": owner.token, "cabinet": CabinetItemFactory(),
        "deed": deed, "measurement": MeasurementFactory(photo=photo, example=example),
        "gloss": GlossReadingFactory(example=example), "opened": opened,
        "remark": RemarkFactory(photo=opened.photos.get()),
    }  # fmt: skip
    assert Pack.objects.exists()
    return {noun: row.public_id for noun, row in ids.items()}


def people():
    suspended, moderator = Caller(MemberFactory()), ModeratorFactory()
    actions.suspend(member=suspended.token.member, by=moderator, at=now(), reason="painted wheels")
    return (Caller(), Caller(MemberFactory()), Caller(ReviewerFactory()), Caller(moderator), suspended)


QUERY = {"search": "?q=anchor", "variant-differences": "?from=1&to=1"}


def address(name, world):
    pattern = next(pattern for pattern in urlpatterns if pattern.name == name)
    noun = name.partition("-")[0]
    filled = str(pattern.pattern).replace("<public_id>", world.get(noun, "")).replace("<number>", "1")
    filled = filled.replace("<state_id>", world["state"]).replace("<photo_id>", world["photo"])
    filled = filled.replace("<slug>", "not-found")
    return f"/v1/{filled}" + QUERY.get(name, "")


def asked(caller, method, path):
    body = None if method in ("GET", "DELETE") else {}
    answer = caller.post(path) if method == "POST" else caller.send(method, path, body)
    assert whole(answer) is not None
    return answer.status_code


def test_T24_each_route_answers_each_person_as_the_table_says(world):
    found, callers = {}, people()
    for (method, name), _ in rows():
        path, before = address(name, world), transaction.savepoint()
        found[method, name] = [asked(caller, method, path) for caller in callers]
        transaction.savepoint_rollback(before)
    assert found == dict(rows())
