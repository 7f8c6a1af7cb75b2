"""The table of a release: only traits that differ, rows in order of appearance, what changed marked."""

from datetime import date

import pytest

from registry import actions
from registry.models import Drift, Variant
from registry.queries.tables import release_table
from tests.factories import StateFactory, TraitFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    """Anchor and red; gull and red; then anchor again, the stripe not said."""
    scene = Scene()
    scene.first = scene.report(scene.anchor, scene.red)
    alike = {"trait": scene.stripe.public_id, "state": scene.red.public_id, "kind": "alike"}
    scene.second = report(scene, scene.gull, scene.first, alike)
    scene.third = report(scene, scene.anchor, scene.second)
    return scene


def report(scene, state, base, *more):
    claim = {"trait": state.trait.public_id, "state": state.public_id, "kind": "difference"}
    draft = scene.draft(base=base, claims=[claim, *more])
    return actions.send_submission(submission=draft, by=draft.author, at=now()).variant


def cells(table):
    return [
        [(cell.claim.state.name if cell.claim else None, cell.differs) for cell in row.cells]
        for row in table.rows
    ]


def test_only_traits_that_differ_are_columns(scene):
    table = release_table(scene.release)
    assert table.traits == [scene.crest]
    assert [(trait, claim.state.name if claim else None) for trait, claim in table.common] == [
        (scene.wheels, None), (scene.stripe, "red"),
    ]  # fmt: skip


def test_a_cell_differs_from_the_last_one_above_that_is_known(scene):
    assert cells(release_table(scene.release)) == [[("anchor", False)], [("gull", True)], [("anchor", True)]]


def test_what_is_not_known_neither_differs_nor_hides_what_was_known_above(scene):
    blue = report(scene, scene.blue, scene.first)
    black = report(scene, scene.red, blue)
    table = release_table(scene.release)
    assert [row.variant for row in table.rows] == [scene.first, scene.second, scene.third, blue, black]
    stripe = table.traits.index(scene.stripe)
    assert [row[stripe] for row in cells(table)] == [
        ("red", False), ("red", False), (None, False), ("blue", True), ("red", True),
    ]  # fmt: skip


def test_rows_are_in_order_of_the_earliest_sighting_then_of_the_id(scene):
    Variant.objects.filter(pk=scene.third.pk).update(noticed_on=date(2024, 1, 1))
    Variant.objects.filter(pk=scene.second.pk).update(noticed_on=date(2024, 2, 1))
    assert [row.variant for row in release_table(scene.release).rows] == [
        scene.third,
        scene.second,
        scene.first,
    ]


def test_what_is_set_apart_is_listed_below(scene):
    Variant.objects.filter(pk=scene.second.pk).update(standing="set_apart")
    table = release_table(scene.release)
    assert [row.variant for row in table.rows] == [scene.first, scene.third]
    assert [row.variant for row in table.set_apart] == [scene.second]
    assert table.traits == [scene.crest]
    assert cells(table) == [[("anchor", False)], [("anchor", False)]]


def test_what_is_gone_is_not_listed(scene):
    Variant.objects.filter(pk=scene.second.pk).update(standing="struck")
    table = release_table(scene.release)
    assert [row.variant for row in table.rows] == [scene.first, scene.third]
    assert table.traits == []


def test_in_the_blister_or_box_only_what_is_seen_there_is_shown(scene):
    scene.release.adoptions.filter(trait=scene.crest).update(seen_in_pack=False)
    table = release_table(scene.release, only_seen_in_pack=True)
    assert table.traits == []
    assert [trait for trait, _ in table.common] == [scene.wheels, scene.stripe]
    assert table.seen_in_pack[scene.crest.pk] is False


def test_each_cell_shows_the_first_mark_that_stands(scene):
    example = scene.example()
    photo = scene.photo(example)
    claim = claim_on(scene.second, scene.crest)
    for _ in range(2):
        scene.mark(claim, photo, example)
    first, second = claim.marks.order_by("pk")
    assert release_table(scene.release).rows[1].cells[0].crop == first
    actions.remove_mark(mark=first, by=first.by, at=now(), reason="It shows the shadow.")
    assert release_table(scene.release).rows[1].cells[0].crop == second
    actions.take_down_photo(photo=photo, by=scene.moderator, at=now(), reason="A face is in it.")
    assert release_table(scene.release).rows[1].cells[0].crop is None


def test_merged_traits_and_states_are_read_as_their_survivors(scene):
    actions.merge(thing=scene.gull, into=scene.anchor, by=scene.moderator, at=now())
    assert release_table(scene.release).traits == []
    badge = TraitFactory(line=scene.release.line, key="badge", place="roof", adopted_by=scene.release)
    StateFactory(trait=badge, key="heron")
    actions.merge(thing=scene.crest, into=badge, by=scene.moderator, at=now())
    table = release_table(scene.release)
    assert [trait for trait, claim in table.common if claim] == [scene.stripe, badge]


def test_a_recorded_drift_stands_beside_its_trait(scene):
    drift = actions.record_drift(
        by=scene.moderator,
        at=now(),
        release=scene.release,
        trait=scene.stripe,
        note="It wanders.",
        source="ten",
    )
    assert release_table(scene.release).drifts == {scene.stripe.pk: [drift]}
    assert Drift.objects.count() == 1


def test_rivals_of_a_dispute_are_not_in_the_table(scene):
    actions.open_dispute(
        claim=claim_on(scene.first, scene.stripe), state=scene.blue, by=scene.author, reason="Blue.", at=now()
    )
    assert release_table(scene.release).traits == [scene.crest]


def test_a_release_without_variants_has_an_empty_table():
    table = release_table(Scene().release)
    assert (table.rows, table.set_apart, table.traits) == ([], [], [])
    assert len(table.common) == 3
