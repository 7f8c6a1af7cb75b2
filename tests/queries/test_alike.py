"""The nearest known variants, for search and for the last look before a report is sent."""

import pytest
from django.db import connection
from django.db.models import Q
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.actions.index import index
from registry.models import State, VariantStanding
from registry.queries.alike import near_by_words, near_elsewhere, nearest_to, parts_of
from tests.factories import MemberFactory, ReleaseFactory
from tests.path import now
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    shelf = Shelf()
    for thing in (*shelf.traits.values(), *shelf.states.values(), *shelf.variants.values()):
        index(thing)
    return shelf


def titles(near):
    return [(each.variant.title, each.agreeing, each.differing) for each in near]


def test_fewest_differences_come_first_then_most_agreements(shelf):
    shelf.add("Crest only", crest="blue")
    parts = [[shelf.states["wheels", "silver"]], [shelf.states["crest", "blue"]]]
    assert titles(nearest_to(parts, Q())) == [
        ("Blue crest", 2, 0),
        ("Crest only", 1, 0),
        ("Silver wheels", 1, 1),
    ]


def test_any_state_of_a_part_will_do_and_merged_ones_count_as_their_survivor(shelf):
    gilt = shelf.state("wheels", "gilt")
    State.objects.filter(pk=gilt.pk).update(acceptance="merged", merged_into=shelf.states["wheels", "gold"])
    gilt.refresh_from_db()
    assert titles(nearest_to([[gilt]], Q())) == [("First", 1, 0), ("Dated base", 1, 0)]
    either = [[shelf.states["wheels", "gold"], shelf.states["wheels", "silver"]]]
    assert len(nearest_to(either, Q())) == 4


def test_a_variant_that_is_gone_is_not_near(shelf):
    variant = shelf.variants["Blue crest"]
    variant.standing = VariantStanding.STRUCK
    variant.save()
    assert nearest_to([[shelf.states["crest", "blue"]]], Q()) == []


def test_a_search_of_several_states_finds_the_nearest_variants(shelf):
    assert titles(near_by_words("silver, blue"))[0] == ("Blue crest", 2, 0)
    assert titles(near_by_words("blue silver"))[0] == ("Blue crest", 2, 0)
    assert near_by_words("silver") == []
    assert near_by_words("silver, nothingofthesort") == []


def test_words_that_name_no_state_narrow_it_down_to_what_is_called_so(shelf):
    other = Shelf(release=ReleaseFactory(name="Harbour night", line=shelf.release.line))
    for thing in (shelf.release, other.release, other.release.casting, *other.variants.values()):
        index(thing)
    for text in ("silver, harbour night", "silver night", "blue, silver, night"):
        near = near_by_words(text)
        assert {each.variant.release for each in near} == {other.release}, text
    assert titles(near_by_words("night, silver, blue"))[0] == ("Blue crest", 2, 0)
    assert near_by_words("silver, harbour morning") == []
    assert near_by_words("harbour, night") == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("gold wheels, blue crest", ["gold wheels", "blue crest"]),
        ("gold wheels and blue crest", ["gold wheels", "blue crest"]),
        ("red gold", ["gold", "red"]),
        ("a,b,c,d,e", ["a", "b", "c", "d"]),
        (" , ", []),
    ],
)
def test_a_search_is_taken_apart_at_commas_else_at_words(text, parts):
    assert parts_of(text) == parts


def draft_on(release, *states):
    claims = [{"trait": s.trait.public_id, "state": s.public_id, "kind": "stated"} for s in states]
    return actions.start_draft(by=MemberFactory(), at=now(), release=release, content={"claims": claims})


def test_a_report_is_shown_variants_of_other_releases_that_have_all_it_says(shelf):
    other = ReleaseFactory(line=shelf.release.line)
    draft = draft_on(other, shelf.states["wheels", "silver"], shelf.states["crest", "blue"])
    assert titles(near_elsewhere(draft)) == [("Blue crest", 2, 0)]
    page_of = draft_on(shelf.release, shelf.states["wheels", "silver"], shelf.states["crest", "blue"])
    assert near_elsewhere(page_of) == []
    assert near_elsewhere(draft_on(other, shelf.states["crest", "blue"])) == []


def test_the_last_look_and_the_search_page_show_them(shelf, client):
    draft = draft_on(
        ReleaseFactory(line=shelf.release.line),
        shelf.states["wheels", "silver"],
        shelf.states["crest", "blue"],
    )
    client.force_login(draft.author)
    assert "Or one of these, of another release?" in client.get(f"/drafts/{draft.public_id}/check").text
    assert "Variants nearest to this" in client.get("/search?q=silver+blue").text
    text = client.get("/search?q=silver,+blue").text
    assert "Variants nearest to this" in text
    assert "has 1 of these details, another state on 1" in text


def test_it_costs_the_same_for_more_variants(shelf):
    def cost():
        with CaptureQueriesContext(connection) as asked:
            near_by_words("silver, blue, gold, red")
        return len(asked)

    before = cost()
    for n in range(10):
        shelf.add(f"More {n}", wheels="silver", crest="blue")
    assert cost() == before <= 8
