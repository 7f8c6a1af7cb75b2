"""Measuring on photographs: what is refused, what is kept, and that no standing moves."""

import pytest

from registry import actions
from registry.actions.erase import erase_member
from registry.errors import AlreadyClosed, IdentityMoved, InvalidField, NotFound, NotPermitted, TooMany
from registry.methods import guards
from registry.models import Claim, JournalEntry, JournalSecret, Measurement, Photo, Variant
from registry.queries.export import own_data
from registry.queries.measured import measured_for, measured_on
from tests.factories import (
    NOON,
    ExampleFactory,
    MemberFactory,
    ModeratorFactory,
    PhotoFactory,
    ReleaseFactory,
    StateFactory,
    TraitFactory,
)
from tests.measured import MeasurementFactory
from tests.path import Scene, claim_on, now

from .watching import refused
from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db
# 1200 x 800 pixels: the reference is 480 px, what is measured 53.28 px and so 4 mm of 36 mm, both with one middle.
LINES = {"reference": [[3000, 5000], [7000, 5000]], "measured": [[4778, 5000], [5222, 5000]]}


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def shot(scene):
    """A trait with two states of known size, a claim on the longer one, and a photo that shows an example of it."""
    stripe_end = TraitFactory(
        line=scene.release.line, key="stripe_end", name="Stripe end", adopted_by=scene.release
    )
    long, _ = (
        StateFactory(trait=stripe_end, key=f"short_{n}", name=f"{n} mm short", number=n * 1000, unit="um")
        for n in (4, 2)
    )
    StateFactory(trait=stripe_end, key="ragged", name="ragged")
    scene.release.casting.wheelbase_um = 36_000
    scene.release.casting.save()
    claim = claim_on(scene.report(long), stripe_end)
    example = scene.example()
    return {"claim": claim, "example": example, "photo": scene.photo(example)}


def measure(shot, by=None, **said):
    given = {**shot, **LINES, "known_by": "wheelbase", "distance_mm": 400, **said}
    return actions.measure_on_photo(**given, by=by or given["photo"].owner, at=now())


def test_a_measurement_says_which_states_it_fits_and_moves_no_standing(
    scene, shot, django_assert_num_queries
):
    scene.show(shot["claim"].variant, example=shot["example"])
    before = as_stored(scene.release)
    kept = measure(shot, pointing_px=1)
    assert (kept.length_um, kept.known_um, kept.trait) == (3_996, 36_000, shot["claim"].trait)
    assert 200 < kept.error_um < 300
    assert kept.caveats == []
    assert as_stored(scene.release) == before
    with django_assert_num_queries(2):
        [told] = measured_on(shot["photo"])
    assert told.full_size_um == 64 * 3_996
    assert ([s.name for s in told.fitting], [s.name for s in told.others]) == (["4 mm short"], ["2 mm short"])
    assert [one.row for one in measured_for([shot["claim"]], {})[shot["claim"].pk]] == [kept]
    line = JournalEntry.objects.get(verb="measurement.added")
    assert line.detail == {
        "photo": shot["photo"].public_id, "example": shot["example"].public_id, "known_by": "wheelbase",
        "claim": shot["claim"].public_id, "trait": shot["claim"].trait.public_id,
        "known_um": 36_000, "length_um": 3_996, "error_um": kept.error_um,
    }  # fmt: skip


def test_the_journals_replay_gives_the_same_standings_with_measurements():
    yard = Yard()
    variant = yard.baseline()
    photo = Photo.objects.get(pk=yard.show(variant).pk)
    measure(
        {"photo": photo, "example": photo.examples.get(), "claim": None},
        trait=yard.crest, known_by="ruler", known_um=20_000, pointing_px=1,
        reference=[[0, 0], [10_000, 0]], measured=[[10_000, 10_000], [0, 10_000]],
    )  # fmt: skip
    assert Measurement.objects.get().trait == yard.crest
    assert by_journal(yard.release) == as_stored(yard.release)


WRONG = [
    ({"known_by": "eye"}, "known_by"),
    ({"known_um": 40_000}, "known_um"),
    ({"known_by": "ruler"}, "known_um"),
    ({"known_by": "ruler", "known_um": 0}, "known_um"),
    ({"known_by": "ruler", "known_um": 10**6 + 1}, "known_um"),
    ({"reference": [[0, 0]]}, "reference"),
    ({"reference": [[0, 0], [1, 2, 3]]}, "reference"),
    ({"reference": None}, "reference"),
    ({"measured": [[0, 0], [10_001, 0]]}, "measured"),
    ({"measured": [[0, -1], [5, 0]]}, "measured"),
    ({"measured": [[0, 0.5], [5, 0]]}, "measured"),
    ({"measured": [[0, 0], [10, 10]]}, "measured"),
    ({"reference": [[5, 5], [5, 5]]}, "reference"),
    ({"pointing_px": 0}, "pointing_px"),
    ({"pointing_px": 201}, "pointing_px"),
    ({"distance_mm": 19}, "distance_mm"),
    ({"is_slanted": "no"}, "is_slanted"),
    ({"same_plane": 1}, "same_plane"),
]


def test_T50_bad_input_is_refused_by_name_and_leaves_nothing(scene, shot):
    for said, field in WRONG:
        with refused(InvalidField, field=field):
            measure(shot, **said)
    assert not Measurement.objects.exists()


def test_T50_what_does_not_belong_together_is_refused(scene, shot):
    other, elsewhere = scene.example(), ExampleFactory(release=ReleaseFactory())
    there, unadopted = scene.photo(elsewhere), TraitFactory(line=scene.release.line)
    draft = PhotoFactory(submission__release=scene.release, shows=[shot["example"]])
    with refused(InvalidField, field="example"):
        measure(shot, example=other)
    with refused(InvalidField, field="claim"):
        measure(shot, example=elsewhere, photo=there)
    with refused(InvalidField, field="trait"):
        measure(shot, claim=None, trait=unadopted)
    with refused(NotFound, field="photo"):
        measure(shot, photo=draft)
    with refused(NotFound, field="photo"):
        shot["photo"].taken_down_at = NOON
        measure(shot)
    shot["photo"].taken_down_at = None
    scene.release.casting.wheelbase_um = None
    scene.release.casting.save()
    shot["example"].refresh_from_db()
    with refused(InvalidField, field="known_by", says=["No wheelbase", "ruler"]):
        measure(shot)
    Claim.objects.filter(pk=shot["claim"].pk).update(closed_at=now())
    with refused(AlreadyClosed, field="claim"):
        measure(shot)
    Variant.objects.update(standing="struck")
    with refused(IdentityMoved, field="claim"):
        measure(shot)


def test_it_is_taken_back_by_who_made_it_or_a_moderator_once(scene, shot):
    kept = measure(shot)
    stranger, moderator = MemberFactory(), ModeratorFactory()
    with refused(NotPermitted):
        actions.remove_measurement(measurement=kept, by=stranger, at=now(), reason="Mine differs.")
    with refused(InvalidField, field="reason"):
        actions.remove_measurement(measurement=kept, by=kept.by, at=now(), reason=" ")
    actions.remove_measurement(measurement=kept, by=moderator, at=now(), reason="It is the shadow.")
    assert measured_on(shot["photo"]) == []
    with refused(AlreadyClosed):
        actions.remove_measurement(measurement=kept, by=kept.by, at=now(), reason="I slipped.")
    assert actions.remove_measurement(
        measurement=measure(shot, by=kept.by), by=kept.by, at=now(), reason="No."
    )


def test_an_example_that_was_measured_stays_on_the_photo(scene, shot):
    owner = shot["photo"].owner
    measure(shot)
    with refused(InvalidField, field="examples", says=["measurement"]):
        actions.describe_photo(photo=shot["photo"], by=owner, at=now(), examples=[])


def test_T08_measurements_have_a_daily_measure(settings):
    settings.CASTLORE_QUOTA_FACTOR = 1
    by, example = MemberFactory(), ExampleFactory()
    most = guards.QUOTAS["measurements"]["new"]
    for _ in range(most):
        MeasurementFactory(by=by, example=example, at=now())
    photo = Measurement.objects.first().photo
    with refused(TooMany, says=[f"{most} measurements in 24 hours"]):
        measure({"photo": photo, "example": example, "claim": None}, by=by)


def test_who_measured_takes_it_along_and_is_forgotten(scene, shot):
    by = MemberFactory()
    kept = measure(shot, by=by)
    [told] = own_data(by)["measurements"]
    assert (told["id"], told["length_um"], told["x2"]) == (kept.public_id, 3_996, 5222)
    actions.remove_measurement(measurement=kept, by=ModeratorFactory(), at=now(), reason="Their shed shows.")
    assert JournalSecret.objects.filter(value="Their shed shows.").exists()
    erase_member(by=by, at=now())
    assert not JournalSecret.objects.filter(value="Their shed shows.").exists()
    assert Measurement.objects.get().length_um == 3_996
