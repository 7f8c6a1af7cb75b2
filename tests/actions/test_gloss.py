"""Gloss meter readings: what is refused, what is kept and shown, and that no standing moves."""

import pytest

from registry import actions
from registry.actions.erase import erase_member
from registry.errors import AlreadyClosed, IdentityMoved, InvalidField, NotPermitted, TooMany
from registry.methods import guards
from registry.models import Claim, GlossReading, JournalEntry, JournalSecret, Variant
from registry.queries.export import own_data
from registry.queries.gloss import gloss_for
from tests.factories import ExampleFactory, MemberFactory, ModeratorFactory, StateFactory, TraitFactory
from tests.gloss import GlossReadingFactory
from tests.path import Scene, claim_on, now

from .watching import refused
from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def coat(scene):
    """A claim on a finish, and a loose item of its release."""
    trait = TraitFactory(line=scene.release.line, key="coat", kind="finish", adopted_by=scene.release)
    claim = claim_on(scene.report(scene.anchor, StateFactory(trait=trait, key="matte")), trait)
    return {"claim": claim, "example": scene.example(condition="loose")}


def read(coat, by=None, **said):
    given = {**coat, "geometry": 60, "tenths": 124, **said}
    return actions.add_gloss_reading(**given, by=by or MemberFactory(), at=now())


def test_a_reading_is_kept_shown_and_moves_no_standing(scene, coat, django_assert_num_queries):
    claim, trait = coat["claim"], coat["claim"].trait
    scene.show(claim.variant, example=coat["example"])
    before = as_stored(scene.release)
    kept = read(coat, instrument="  small   spot ")
    assert (kept.geometry, kept.tenths, kept.trait, kept.instrument) == (60, 124, trait, "small spot")
    assert str(kept) == "60°: 12.4 gloss units"
    assert as_stored(scene.release) == before
    line = JournalEntry.objects.get(verb="glossreading.added")
    assert line.detail == {
        "example": coat["example"].public_id, "claim": claim.public_id, "trait": trait.public_id,
        "geometry": 60, "tenths": 124,
    }  # fmt: skip
    dull, other = read(coat, tenths=42), read({**coat, "example": scene.example()}, tenths=42)
    with django_assert_num_queries(1):
        shown = gloss_for([claim])[claim.pk]
        assert [(it.row, it.row.example.condition, it.range) for it in shown] == [
            (kept, "loose", "semi-gloss"), (dull, "loose", "low gloss"), (other, "sealed", "low gloss"),
        ]  # fmt: skip
    assert [bool(it.advice) for it in shown] == [False, True, True]
    assert "at 85 degrees" in shown[1].advice
    read(coat, geometry=85, tenths=200)
    assert [bool(it.advice) for it in gloss_for([claim])[claim.pk]] == [False, False, True, False]
    assert gloss_for([claim])[claim.pk][-1].range == ""


def test_the_journals_replay_gives_the_same_standings_with_readings():
    yard = Yard()
    variant = yard.baseline()
    yard.crest.kind = "finish"
    yard.crest.save()
    example = yard.show(variant).examples.get()
    kept = read({"example": example, "claim": None}, trait=yard.crest)
    assert (kept.claim, kept.trait) == (None, yard.crest)
    assert by_journal(yard.release) == as_stored(yard.release)


WRONG = [
    ({"geometry": 45}, "geometry"),
    ({"geometry": "60"}, "geometry"),
    ({"geometry": True}, "geometry"),
    ({"tenths": -1}, "tenths"),
    ({"tenths": 20_001}, "tenths"),
    ({"tenths": 12.4}, "tenths"),
    ({"instrument": "x" * 101}, "instrument"),
    ({"instrument": "a\u202eb"}, "instrument"),
    ({"claim": None}, "claim"),
]


def test_T50_bad_input_is_refused_by_name_and_leaves_nothing(scene, coat):
    by, crest = MemberFactory(), claim_on(coat["claim"].variant, scene.crest)
    unadopted, elsewhere = TraitFactory(line=scene.release.line, kind="finish"), ExampleFactory()
    for said, field in WRONG:
        with refused(InvalidField, field=field):
            read(coat, by, **said)
    with refused(InvalidField, field="claim", says=["Roof crest", "kind finish"]):
        read(coat, by, claim=crest)
    with refused(InvalidField, field="trait", says=["kind finish"]):
        read(coat, by, claim=None, trait=scene.crest)
    with refused(InvalidField, field="trait"):
        read(coat, by, claim=None, trait=unadopted)
    with refused(InvalidField, field="claim"):
        read(coat, by, example=elsewhere)
    Claim.objects.filter(pk=coat["claim"].pk).update(closed_at=now())
    with refused(AlreadyClosed, field="claim"):
        read(coat, by)
    Variant.objects.update(standing="struck")
    with refused(IdentityMoved, field="claim"):
        read(coat, by)
    assert not GlossReading.objects.exists()


def test_it_is_taken_back_by_who_read_it_or_a_moderator_once(coat):
    kept, again, stranger, moderator = read(coat), read(coat), MemberFactory(), ModeratorFactory()
    with refused(NotPermitted):
        actions.remove_gloss_reading(reading=kept, by=stranger, at=now(), reason="Mine differs.")
    with refused(InvalidField, field="reason"):
        actions.remove_gloss_reading(reading=kept, by=kept.by, at=now(), reason=" ")
    actions.remove_gloss_reading(reading=kept, by=moderator, at=now(), reason="Over a print.")
    with refused(AlreadyClosed):
        actions.remove_gloss_reading(reading=kept, by=kept.by, at=now(), reason="I slipped.")
    actions.remove_gloss_reading(reading=again, by=again.by, at=now(), reason="I slipped.")
    assert gloss_for([coat["claim"]]) == {}
    assert GlossReading.objects.count() == 2


def test_T08_readings_count_among_a_days_measurements(settings, coat):
    settings.CASTLORE_QUOTA_FACTOR = 1
    by, most = MemberFactory(), guards.QUOTAS["measurements"]["new"]
    for _ in range(most):
        GlossReadingFactory(by=by, example=coat["example"], trait=coat["claim"].trait, at=now())
    with refused(TooMany, says=[f"{most} measurements in 24 hours"]):
        read(coat, by=by)


def test_who_read_the_meter_takes_it_along_and_is_forgotten(coat):
    by = MemberFactory()
    kept = read(coat, by=by, instrument="Aune's meter")
    [told] = own_data(by)["gloss_readings"]
    assert (told["id"], told["tenths"], told["claim"]) == (kept.public_id, 124, coat["claim"].public_id)
    actions.remove_gloss_reading(reading=kept, by=ModeratorFactory(), at=now(), reason="Their shed shows.")
    assert JournalSecret.objects.filter(value="Their shed shows.").exists()
    erase_member(by=by, at=now())
    assert not JournalSecret.objects.filter(value="Their shed shows.").exists()
    kept.refresh_from_db()
    assert (kept.tenths, kept.instrument) == (124, "")
