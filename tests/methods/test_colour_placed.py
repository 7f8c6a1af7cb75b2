"""Charts pointed out by hand, names of colours, and how likely a colour is on each state. Checks beside each."""

import numpy as np
import pytest

from registry.methods.colour import PATCHES, colour_name, detect, encode, linear_of_lab
from registry.methods.colour.names import centroids
from registry.methods.colour.place import place_card, place_chart
from registry.methods.colour.verdict import Reference, likelihoods, places_are_swapped

# Twelve names with their centroids as sRGB, from the list of NBS/ISCC centroids (rows that lie in their own block).
NAMED = {
    "strong pink": "ea9399", "deep pink": "e4717a", "pale pink": "ead8d7", "moderate pink": "dea5a4",
    "light pink": "f9ccca", "dark pink": "c08081",
}  # fmt: skip


def drawn_chart(width=240, height=160):
    """A chart of the published patches under even light, its cells laid out as the reader expects them."""
    picture = np.full((height, width, 3), 0.12)
    wide, tall = (1 - 2 * 0.045) / 6, (1 - 2 * 0.045 * 1.4) / 4
    srgb = encode(linear_of_lab(PATCHES))
    for n, colour in enumerate(srgb):
        x, y = 0.045 + (n % 6) * wide, 0.045 * 1.4 + (n // 6) * tall
        picture[int(y * height) : int((y + tall) * height), int(x * width) : int((x + wide) * width)] = colour
    return picture


def test_a_chart_is_placed_whatever_corner_comes_first():
    picture = drawn_chart()
    corners = [(0, 0), (239, 0), (239, 159), (0, 159)]
    for given in (corners, corners[::-1], corners[2:] + corners[:2], [corners[n] for n in (2, 0, 3, 1)]):
        ordered, calibration = place_chart(picture, given)
        assert ordered == corners
        assert calibration.residual < 0.5
    turned = np.rot90(picture, 2)
    assert place_chart(turned, corners)[0] == corners[2:] + corners[:2], (
        "its brown patch is at the lower right"
    )


@pytest.mark.parametrize(
    ("corners", "says"),
    [([(0, 0), (119, 0), (119, 159), (0, 159)], "patches differ"), ([(0, 0), (9, 9)], "four corners"),
     ([(0, 0), (400, 0), (400, 159), (0, 159)], "outside the picture")],
)  # fmt: skip
def test_half_a_chart_is_refused_in_words(corners, says):
    with pytest.raises(ValueError, match=says):
        place_chart(drawn_chart(), corners)


def test_a_card_is_placed_where_the_light_is_even():
    card = np.full((40, 60, 3), 0.45)
    whole = [(0, 0), (59, 0), (59, 39), (0, 39)]
    ordered, calibration = place_card(card, whole[::-1])
    assert ordered == whole
    assert not calibration.is_full
    card[:, 30:] = 0.2
    with pytest.raises(ValueError, match="not even"):
        place_card(card, whole)


def test_colours_have_the_names_of_their_centroids():
    names, labs = centroids()
    assert len(names) == len(set(names)) == 226
    for name, code in NAMED.items():
        assert labs[names.index(name)] == pytest.approx(reference_lab(code), abs=0.05)
        assert colour_name(labs[names.index(name)] + [0.3, 0.2, -0.2]) == name


def reference_lab(code):
    """CIELAB (D50) by coloraide."""
    from coloraide import Color

    return Color(f"#{code}").convert("lab").coords()


@pytest.mark.oracle
@pytest.mark.filterwarnings("ignore")
def test_the_nearest_centroid_is_the_one_that_scikit_image_finds():
    from skimage.color import deltaE_ciede2000

    names, labs = centroids()
    dice = np.random.default_rng(5)
    for lab in dice.uniform([10, -60, -60], [95, 60, 60], (200, 3)):
        assert colour_name(lab) == names[int(deltaE_ciede2000(np.tile(lab, (len(labs), 1)), labs).argmin())]


KNOWN = {"navy": Reference("navy", (19, 3, -24), 3.0), "indigo": Reference("indigo", (25, 18, -42), 3.0)}


def test_a_colour_is_likelier_on_the_state_it_is_near_and_unlikely_ones_fall_below_any_colour():
    near, anywhere = likelihoods((19, 3, -24), 1.0, KNOWN)
    assert near["navy"] > 10 * near["indigo"]
    # At no distance a normal density in three dimensions: 1 / (spread * sqrt(2 pi)) ** 3, spread² = 1 + 3² / 3.
    assert near["navy"] == pytest.approx(1 / (2 * np.sqrt(2 * np.pi)) ** 3)
    far, _ = likelihoods((60, 60, 60), 1.0, KNOWN)
    assert max(far.values()) < anywhere
    vague, _ = likelihoods((19, 3, -24), 20.0, KNOWN)
    assert vague["navy"] < 1.3 * vague["indigo"], "a vague measure tells little"
    with pytest.raises(ValueError, match="above 0"):
        likelihoods((19, 3, -24), 0.0, KNOWN)


@pytest.mark.parametrize(
    ("before", "after", "swapped"), [((1, 2), (5, 3), True), ((1, 2), (3, 5), False), ((1, 1), (3, 5), False)]
)
def test_places_are_swapped_when_left_and_right_change(before, after, swapped):
    assert places_are_swapped(before, after) is swapped


def test_no_picture_makes_the_search_look_at_more_than_so_many_quadrilaterals(monkeypatch):
    """A mosaic of 10 000 squares, sent to keep the server busy: counted, as time would depend on the machine."""
    dice = np.random.default_rng(7)
    mosaic = dice.random((100, 100, 3)).repeat(12, axis=0).repeat(12, axis=1)
    grown, tried = [], []
    for name, counted in (("_neighbours", grown), ("_each_once", tried)):
        done = getattr(detect, name)
        monkeypatch.setattr(
            detect,
            name,
            lambda seen, *more, done=done, counted=counted: (counted.append(len(seen)), done(seen, *more))[1],
        )
    assert detect.find_chart(mosaic) is None
    assert grown == [detect.MOST_QUADS]
    assert detect.MOST_QUADS < tried[0] <= 9 * detect.MOST_CONTOURS
