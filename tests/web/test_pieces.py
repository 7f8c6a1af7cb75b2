"""The small pieces that pages are made of."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.utils import translation

from registry.models import Mark, Photo, Place
from registry.sentences import Sentence
from registry.templatetags import castlore
from registry.web import pictures
from registry.web.outlines import SHAPES


def marked(x: int, y: int, w: int, h: int, width: int = 1200, height: int = 800) -> Mark:
    return Mark(x=x, y=y, w=w, h=h, photo=Photo(width=width, height=height, digest="0" * 64))


@pytest.mark.parametrize(
    "box", [(0, 0, 10, 10), (9000, 9000, 1000, 1000), (0, 0, 10000, 10000), (4000, 100, 9, 9000)]
)
@pytest.mark.parametrize("size", [(1200, 800), (800, 1200), (900, 900)])
def test_a_crop_holds_the_mark_where_it_can_keeps_its_shape_and_stays_inside(box, size):
    mark = marked(*box, *size)
    left, top, wide, tall = pictures.region(mark, mark.photo)
    assert wide / tall == pytest.approx(4 / 3)
    assert left >= 0
    assert top >= 0
    assert left + wide <= size[0] + 1e-6
    assert top + tall <= size[1] + 1e-6
    middle = (mark.x + mark.w / 2) * size[0] / 1e4, (mark.y + mark.h / 2) * size[1] / 1e4
    assert left - 1e-6 <= middle[0] <= left + wide + 1e-6
    assert top - 1e-6 <= middle[1] <= top + tall + 1e-6


def test_a_marks_number_stands_above_it_or_inside_at_the_top_edge():
    photo = Photo(width=1000, height=500)
    low = pictures.drawn_mark((1000, 6000, 500, 1000), photo, 40)
    assert low == {"x": 100, "y": 300, "w": 50, "h": 50, "number_y": 290}
    high = pictures.drawn_mark((1000, 200, 500, 1000), photo, 40)
    assert (high["y"], high["number_y"]) == (10, 50)


def test_days_and_moments_are_exact_for_programs_and_short_for_people():
    assert castlore.on(date(2026, 3, 9)) == '<time datetime="2026-03-09">9 Mar 2026</time>'
    assert castlore.on(datetime(2026, 3, 9, 14, tzinfo=UTC)) == (
        '<time datetime="2026-03-09T14:00:00+00:00">9 Mar 2026</time>'
    )
    assert castlore.month(date(2026, 3, 1)) == '<time datetime="2026-03">March 2026</time>'
    assert castlore.on(None) == castlore.month(None) == "not known"


def test_an_id_is_shown_in_groups_of_four():
    assert castlore.grouped("4k7d9xwpm2cx") == '<span class="id">4k7d-9xwp-m2cx</span>'


def test_a_number_is_kept_on_one_line_and_nothing_else_of_the_text():
    assert castlore.unbroken("Q64-031 · 2024") == '<span class="unbroken">Q64-031</span> · 2024'
    assert castlore.unbroken("two-pack & <b>") == "two-pack &amp; &lt;b&gt;"
    with translation.override("de"):
        assert castlore.unbroken(Sentence("two-pack")) == "Zweierpack"
    assert (
        ".id, .unbroken { white-space: nowrap; }" in Path("registry/static/registry/ledger.css").read_text()
    )


def test_every_place_has_a_shape_of_the_drawing():
    assert set(SHAPES) == set(Place)
    assert all(castlore.outline(place)["here"].startswith("M") for place in Place.values)


def test_votes_and_causes_are_said_in_words():
    assert castlore.tally({"confirms": 2, "cannot_tell": 1}) == "2 confirm, 1 cannot tell"
    assert castlore.tally({}) == "no vote yet"
    assert castlore.tally({}, is_over=True) == "no counting vote was cast"
    assert castlore.tally({"confirms": 2}, is_over=True) == "2 confirm"
    assert castlore.cause("running_change") == "running change"
    assert castlore.cause("") == "not known"
