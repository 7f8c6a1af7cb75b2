"""What settling and the great reads cost in queries does not grow with what is there."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import Claim
from registry.queries import facts, review, search, tables
from registry.queries.pages import variant_page
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def queries(read: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as captured:
        read()
    return len(captured)


@pytest.fixture
def scene():
    """One variant with an example, a vote and a dispute."""
    scene = Scene()
    scene.first = scene.report(scene.anchor, scene.red)
    enrich(scene, scene.first, scene.reviewers[0])
    return scene


def enrich(scene, variant, reviewer) -> None:
    scene.show(variant)
    claim = claim_on(variant, scene.crest)
    actions.cast_vote(claim=claim, by=reviewer, at=now(), verdict="confirms", basis="photo")
    other = scene.gull if claim.state != scene.gull else scene.anchor
    actions.open_dispute(claim=claim, state=other, by=MemberFactory(), reason="Another.", at=now())


def grow(scene) -> None:
    """Four more variants, each with an example, votes and a dispute; and more of all that on the first."""
    for n in range(4):
        state = actions.add_state(
            by=scene.moderator, at=now(), trait=scene.crest, key=f"s{n}", name=f"sign {n}"
        )
        enrich(scene, scene.report(state, base=scene.first, cause="parallel"), scene.reviewers[n])
    for reviewer in scene.reviewers[1:]:
        scene.show(scene.first)
        claim = claim_on(scene.first, scene.stripe)
        actions.cast_vote(claim=claim, by=reviewer, at=now(), verdict="confirms", basis="photo")


READS: dict[str, Callable[[Scene], Any]] = {
    "settle_release": lambda s: actions.settle_release(release=s.release, at=now()),
    "release_facts": lambda s: facts.release_facts(s.release),
    "release_table": lambda s: tables.release_table(s.release),
    "variant_page": lambda s: variant_page(s.first, s.reviewers[0]),
    "review queue": lambda s: [
        (claim.trait.name, claim.state.name, claim.variant.release.casting.name, claim.author)
        for claim in review.queue(s.reviewers[5])
    ],
    "search": lambda s: search.find("anchor"),
    "search among variants": lambda s: list(search.matching(s.release.variants.all(), "variant", "sign")),
}


@pytest.mark.parametrize("name", READS)
def test_the_number_of_queries_does_not_grow(scene, name):
    small = queries(lambda: READS[name](scene))
    grow(scene)
    assert queries(lambda: READS[name](scene)) == small


def test_the_numbers_are_those_that_the_reads_declare(scene):
    counted = {name: queries(lambda name=name: READS[name](scene)) for name in READS}
    assert counted["release_table"] == 4
    assert counted["variant_page"] == 5
    assert counted["review queue"] == counted["search"] == 1
    assert counted["release_facts"] == 8
    assert counted["settle_release"] <= 30


def test_what_grew_is_really_more(scene):
    grow(scene)
    assert Claim.objects.filter(variant__release=scene.release).count() > 15
    assert len(tables.release_table(scene.release).rows) == 5
    assert len(search.find("sign")) == 8
