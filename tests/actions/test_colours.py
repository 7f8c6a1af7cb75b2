"""Colours in photographs: a chart found or pointed out, marks measured by it, and what cannot be measured refused."""

import numpy as np
import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted, TooMany
from registry.methods import guards
from registry.methods.colour import ciede2000
from registry.models import Chart, JournalEntry, Mark, MarkColour
from registry.queries import colours
from tests.coloured import INDIGO, NAVY, PAIR, SWAPPED, Blues, as_jpeg, rendered, spot, truth
from tests.factories import MemberFactory, PhotoFactory, ReviewerFactory
from tests.path import now
from tests.pictures import jpeg

from .watching import refused

pytestmark = pytest.mark.django_db
WHOLE = [(0, 0), (100, 0), (100, 100), (0, 100)]


@pytest.fixture
def blues():
    return Blues()


def chart_corners(name):
    x, y, w, h = truth()[name]["chart"]["box"]
    return x, y, x + w, y + h


def told(*marks):
    marks = [Mark.objects.select_related("claim__trait").get(pk=mark.pk) for mark in marks]
    colours.tell((mark, mark.claim) for mark in marks)
    return [mark.told for mark in marks]


def test_marks_are_measured_by_the_chart_their_owner_says_is_there(blues, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        photo, marks = blues.pictured(SWAPPED, "patch_chart")
    chart = Chart.objects.get()
    assert (chart.photo, chart.kind, chart.by) == (photo, "patch_chart", None)
    assert chart.residual < 100
    assert chart.worst < 200
    line = JournalEntry.objects.get(verb="photo.chart_placed")
    assert (line.by, line.about_id, line.detail["residual"]) == (None, photo.public_id, chart.residual)
    for mark, paint in zip(marks, ("navy", "indigo"), strict=True):
        state = blues.states[paint]
        apart = ciede2000(mark.colour.lab, [state.lab_l / 100, state.lab_a / 100, state.lab_b / 100])
        assert mark.colour.chart == chart
        assert float(apart) < 6, "glossy paint mirrors its surroundings"
        assert 100 < mark.colour.error < 300
    navy, indigo = told(*marks)
    assert navy.sentence.startswith("Closest to harbour navy (ΔE ")
    assert "clearly not harbour indigo (ΔE " in navy.sentence
    assert indigo.sentence.startswith("Closest to harbour indigo (ΔE ")
    assert "blue" in navy.name
    assert {one.name: one.is_excluded for one in navy.against} == {
        "harbour navy": False, "harbour indigo": True, "harbour red": True,
    }  # fmt: skip
    assert actions.measure_photo(photo=photo, at=now()) == 0, "nothing is left to measure"

    with django_capture_on_commit_callbacks(execute=True):
        actions.place_chart(photo=photo, by=ReviewerFactory(), at=now(), kind="none")
    assert Chart.objects.count() == 2, "the earlier one is kept"
    assert [one.lab for one in told(*marks)] == [None, None]
    assert told(marks[0])[0].sentence.startswith("No chart or grey card is in the picture")

    with refused(InvalidField, field="corners", says=["patches differ"]):
        actions.place_chart(
            photo=photo, by=blues.scene.author, at=now(), kind="patch_chart",
            corners=[(5, 20), (50, 20), (50, 65), (5, 65)],
        )  # fmt: skip
    jumbled = [chart.percents[n] for n in (2, 0, 3, 1)]
    with django_capture_on_commit_callbacks(execute=True):
        again = actions.place_chart(
            photo=photo, by=blues.scene.author, at=now(), kind="patch_chart", corners=jumbled
        )
    assert again.corners == chart.corners
    assert (again.by, again.residual) == (blues.scene.author, chart.residual)
    assert told(marks[0])[0].sentence == navy.sentence


def test_a_chart_is_looked_for_and_one_half_out_of_frame_refused(blues):
    author = blues.scene.author
    photo = blues.photo(as_jpeg(rendered(PAIR)))
    found = actions.look_for_chart(photo=photo, by=author, at=now())
    x0, y0, x1, y1 = chart_corners(PAIR)
    assert found.kind == "patch_chart"
    assert min(x for x, _ in found.percents) == pytest.approx(x0, abs=1)
    assert max(y for _, y in found.percents) == pytest.approx(y1, abs=1)
    assert not Chart.objects.exists(), "looking keeps nothing"

    cut = int((x0 + x1) / 2 / 100 * 1200)
    half = blues.photo(as_jpeg(rendered(PAIR)[:, :cut]))
    assert actions.look_for_chart(photo=half, by=author, at=now()).kind == "grey_card", "a guess to look at"
    scale = 1200 / cut
    for corners, says in (
        ([(x0 * scale, y0), (100, y0), (100, y1), (x0 * scale, y1)], "patches differ"),
        ([(x0 * scale, y0), (x1 * scale, y0), (x1 * scale, y1), (x0 * scale, y1)], "from 0 to 100"),
        ([(1, 1), (2, 2), (3, 3)], "four corners"),
        ([(1, 1), (2, float("nan")), (3, 3), (9, 9)], "four corners"),
        ([(1, 1), (20, 20), (30, 30), (40, 40)], "on a line"),
        ("north", "four corners"),
        (None, "No 24-patch chart is seen whole"),
    ):
        with refused(InvalidField, field="corners", says=[says]):
            actions.place_chart(photo=half, by=author, at=now(), kind="patch_chart", corners=corners)
    with refused(InvalidField, field="corners", says=["four corners"]):
        actions.place_chart(photo=half, by=author, at=now(), kind="grey_card")
    with refused(InvalidField, field="kind"):
        actions.place_chart(photo=half, by=author, at=now(), kind="ruler", corners=WHOLE)


def never(picture):
    raise AssertionError("the same picture is searched again")


def test_a_picture_of_nothing_has_no_chart_and_a_grey_card_must_be_even(
    blues, django_capture_on_commit_callbacks, monkeypatch
):
    author = blues.scene.author
    with django_capture_on_commit_callbacks(execute=True):
        photo = blues.photo(jpeg(200, 100, (96, 100, 104)), "patch_chart")
        mark = blues.mark(photo, NAVY, (1000, 1000, 3000, 3000))
    with refused(InvalidField, field="corners", says=["seen whole"]):
        actions.look_for_chart(photo=photo, by=author, at=now())
    vain = Chart.objects.get()
    assert (vain.kind, vain.by, vain.corners) == ("none", None, []), (
        "it was looked for in vain, and that is kept"
    )
    with django_capture_on_commit_callbacks(execute=True), monkeypatch.context() as patched:
        patched.setattr("registry.actions.colours.find_chart", never)
        blues.mark(photo, INDIGO, (5000, 1000, 3000, 3000))
        with refused(InvalidField, field="corners", says=["seen whole"]):
            actions.place_chart(photo=photo, by=author, at=now(), kind="patch_chart")
    assert MarkColour.objects.filter(chart=vain).count() == 2
    assert told(mark)[0].sentence.startswith("No chart or grey card")
    with django_capture_on_commit_callbacks(execute=True):
        chart = actions.place_chart(photo=photo, by=author, at=now(), kind="grey_card", corners=WHOLE)
    assert (chart.residual, chart.worst) == (None, None)
    mark.colour.refresh_from_db()
    assert mark.colour.lab == pytest.approx((49.5, 0, 0), abs=0.5), "the whole picture is the card"
    assert mark.colour.error >= 300, "a lone grey says little of the camera"
    stripes = np.tile(np.repeat([0.2, 0.6], 25), (100, 4))[..., None] * np.ones(3)
    uneven = blues.photo(as_jpeg(stripes))
    with refused(InvalidField, field="corners", says=["not even"]):
        actions.place_chart(photo=uneven, by=author, at=now(), kind="grey_card", corners=WHOLE)
    white = blues.photo(jpeg(200, 100, (255, 255, 255)))
    with django_capture_on_commit_callbacks(execute=True):
        burnt, tiny = (blues.mark(white, NAVY, xywh) for xywh in ((0, 0, 5000, 5000), (0, 0, 100, 100)))
    assert "burnt out" in told(burnt)[0].sentence
    assert "Draw it larger" in told(tiny)[0].sentence
    with refused(InvalidField, field="corners", says=["burnt out"]):
        actions.place_chart(photo=white, by=author, at=now(), kind="grey_card", corners=WHOLE)


def test_who_may_point_out_a_chart_and_in_which_photograph(blues):
    draft = blues.scene.draft()
    photo = actions.attach_photo(
        by=blues.scene.author, at=now(), data=jpeg(colour=(99, 99, 99)), submission=draft
    )
    stranger = MemberFactory()
    for deed in (actions.look_for_chart, actions.place_chart):
        more = {"kind": "grey_card", "corners": WHOLE} if deed is actions.place_chart else {}
        with refused(NotFound, field="photo"):
            deed(photo=photo, by=stranger, at=now(), **more)
    assert actions.place_chart(photo=photo, by=blues.scene.author, at=now(), kind="grey_card", corners=WHOLE)
    shown = blues.photo(jpeg(colour=(98, 98, 98)))
    with refused(NotPermitted, says=["who added the photo"]):
        actions.look_for_chart(photo=shown, by=stranger, at=now())
    for more in ({"kind": "grey_card", "corners": WHOLE}, {"kind": "none"}):
        with refused(NotPermitted, says=["who added the photo"]):
            actions.place_chart(photo=shown, by=stranger, at=now(), **more)
    for by in (shown.owner, blues.scene.reviewers[0], blues.scene.moderator):
        assert actions.place_chart(photo=shown, by=by, at=now(), kind="grey_card", corners=WHOLE).by == by
    actions.take_down_photo(photo=shown, by=blues.scene.moderator, at=now(), reason="A face.")
    shown.refresh_from_db()
    with refused(AlreadyClosed):
        actions.place_chart(photo=shown, by=blues.scene.author, at=now(), kind="grey_card", corners=WHOLE)
    assert actions.measure_photo(photo=shown, at=now()) == 0


def test_two_marks_are_only_told_apart_without_a_chart_and_better_with_places_swapped(
    blues, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        photo, (navy, indigo) = blues.pictured(PAIR)
    once = colours.beside(navy, indigo)
    assert once.is_different is True
    assert "Swap the two models" in once.sentence
    assert once.distance is None
    assert "ΔE" not in once.sentence, "no number without a chart"
    assert colours.beside(navy, navy).sentence == colours.TWO_NEEDED
    with django_capture_on_commit_callbacks(execute=True):
        swapped, _ = blues.pictured(SWAPPED)
    twice = colours.beside(navy, indigo)
    assert twice.swapped == swapped
    assert twice.is_different is True
    assert "Swap" not in twice.sentence
    with django_capture_on_commit_callbacks(execute=True):
        actions.place_chart(photo=photo, by=blues.scene.author, at=now(), kind="patch_chart")
    charted = colours.beside(navy, indigo)
    assert charted.distance > 5, "now there is a number"
    assert MarkColour.objects.filter(chart=None).count() == 2, "the other picture keeps its own"


def test_what_was_measured_never_changes_where_a_claim_stands(blues, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        photo = blues.photo(as_jpeg(rendered(PAIR)), "patch_chart")
        blues.mark(photo, NAVY, spot(PAIR, INDIGO))  # the wrong item: it will be clearly another colour
    claim = Mark.objects.get().claim
    before = (claim.standing, claim.missing, claim.posterior)
    actions.settle_release(release=blues.scene.release, at=now())
    claim.refresh_from_db()
    assert (claim.standing, claim.missing, claim.posterior) == before
    assert "clearly not harbour navy" in told(Mark.objects.get())[0].sentence


def test_T08_placing_charts_counts_as_measuring_and_is_refused_before_pixels_are_read(settings, monkeypatch):
    settings.CASTLORE_QUOTA_FACTOR = 1
    photo = PhotoFactory()
    most = guards.QUOTAS["measurements"]["new"]
    for _ in range(most):
        actions.place_chart(photo=photo, by=photo.owner, at=now(), kind="none")
    monkeypatch.setattr("registry.actions.colours.pixels", never)
    for more in ({"kind": "none"}, {"kind": "patch_chart"}):
        with refused(TooMany, says=[f"{most} measurements in 24 hours"]):
            actions.place_chart(photo=photo, by=photo.owner, at=now(), **more)
    assert Chart.objects.count() == most
