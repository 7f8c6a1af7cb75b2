"""Known paints of the rendered scenes, measured again under other lights. Truth: fixtures/pictures/truth.json."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from registry.methods.colour import (
    PATCHES,
    Reading,
    calibrate,
    ciede2000,
    decode,
    encode,
    lab_of_linear,
    read_card,
    read_chart,
    region_colour,
)
from registry.methods.colour.chart import CYAN
from registry.methods.colour.detect import find_card, find_chart
from registry.methods.colour.verdict import Reference, compare_regions, verdict

PICTURES = Path(__file__).resolve().parents[2] / "fixtures" / "pictures"
TRUTH = json.loads((PICTURES / "truth.json").read_text())["pictures"]
CHARTED = [name for name, it in TRUTH.items() if (it["chart"] or {}).get("kind") == "patches_24"]
# Gains on linear sRGB of five lights, and exposures in stops. Lamps: the CIE illuminants A, D50, D65 and FL2 and
# open shade, roughly, after a camera's half-right white balance: what matters is that they differ.
LIGHTS = [
    ("bulb", (1.32, 1.0, 0.55), 0.0),
    ("daylight", (1.05, 1.0, 0.92), -1.0),
    ("overcast", (1.0, 1.0, 1.0), -0.5),
    ("tube", (0.95, 1.08, 0.80), -1.5),
    ("shade", (0.80, 0.98, 1.15), -2.0),
]


@cache
def picture(name: str):
    return np.asarray(Image.open(PICTURES / name).convert("RGB")) / 255


@cache
def corners_of(name: str):
    corners = find_chart(picture(name))
    assert corners is not None
    return corners


def relit(name: str, gains, stops: float):
    """The same scene under another lamp and exposure, in eight bits with a little noise."""
    light = decode(picture(name)) * np.array(gains) * 2.0**stops * 0.7
    noisy = encode(light) + np.random.default_rng(3).normal(0, 0.004, light.shape)
    return np.round(np.clip(noisy, 0, 1) * 255) / 255


def pixels_of(image, box):
    """The middle of a box given in percent."""
    height, width = image.shape[:2]
    x, y, w, h = box
    left, right = (x + 0.3 * w) / 100 * width, (x + 0.7 * w) / 100 * width
    top, bottom = (y + 0.3 * h) / 100 * height, (y + 0.7 * h) / 100 * height
    return image[int(top) : int(bottom) + 1, int(left) : int(right) + 1]


def of(patch):
    return PATCHES[patch["number"] - 1]


def is_burnt(name: str, patch) -> bool:
    """The camera has cut it off: no other light brings it back. So with cyan, which lies outside sRGB."""
    shot = np.median(pixels_of(picture(name), patch["box"]), axis=(0, 1)).max()
    return bool(shot >= 250 / 255) or patch["number"] - 1 == CYAN


def left_out_errors(name: str, image) -> list[tuple[float, float]]:
    """Each patch as a paint of known colour, measured by the other patches; beside it, measured by nothing."""
    reading = read_chart(image, corners_of(name))
    whole = [patch for patch in TRUTH[name]["chart"]["patches"] if not is_burnt(name, patch)]
    kept = [n for n, truth in enumerate(reading.truth) if any((truth == of(patch)).all() for patch in whole)]
    errors = []
    for patch in whole:
        [at] = np.flatnonzero((reading.truth == of(patch)).all(axis=1))
        others = [n for n in kept if n != at]
        calibration = calibrate(Reading(reading.light[others], reading.truth[others], reading.spread[others]))
        colour = region_colour(pixels_of(image, patch["box"]), calibration)
        raw = lab_of_linear(reading.light[at])
        errors.append((float(ciede2000(colour.lab, of(patch))), float(ciede2000(raw, of(patch)))))
    assert len(errors) >= 18
    return errors


@pytest.mark.parametrize(("lamp", "gains", "stops"), LIGHTS, ids=[light[0] for light in LIGHTS])
def test_known_paints_are_recovered_under_any_light_and_without_a_chart_they_are_not(lamp, gains, stops):
    for name in CHARTED[:2]:
        measured, raw = np.array(left_out_errors(name, relit(name, gains, stops))).T
        assert np.median(measured) <= 1.0
        assert measured.max() <= 2.0
        assert np.median(raw) > 2.0, "uncorrected colours must be wrong, or this test proves nothing"


@pytest.mark.parametrize("name", CHARTED)
def test_the_chart_is_found_where_it_lies(name):
    corners = np.array(corners_of(name))
    x, y, w, h = TRUTH[name]["chart"]["box"]
    found = np.array([*corners.min(axis=0), *corners.max(axis=0)]) / [12, 8, 12, 8]
    assert found == pytest.approx([x, y, x + w, y + h], abs=1.0)  # percent of the picture


def test_no_chart_is_seen_where_there_is_none():
    name = next(name for name, it in TRUTH.items() if (it["chart"] or {}).get("kind") == "grey_card")
    assert find_chart(picture(name)) is None
    assert find_chart(np.full((300, 400, 3), 0.5)) is None
    assert find_card(np.full((300, 400, 3), 0.5)) is None


def test_a_grey_card_takes_the_light_out():
    name = next(name for name, it in TRUTH.items() if (it["chart"] or {}).get("kind") == "grey_card")
    x, y, w, h = TRUTH[name]["chart"]["box"]
    corners = [
        (x * 12 + 25, y * 8 + 10),
        ((x + w) * 12 - 25, y * 8 + 10),
        ((x + w) * 12 - 25, (y + h) * 8 - 10),
        (x * 12 + 25, (y + h) * 8 - 10),
    ]
    seen = [
        calibrate(read_card(image, corners)).lab(read_card(image, corners).light)
        for image in (picture(name), relit(name, *LIGHTS[0][1:]))
    ]
    assert seen[0] == pytest.approx(np.array([[49.5, 0, 0]]), abs=0.01)
    assert seen[1] == pytest.approx(seen[0], abs=0.01)


def test_a_chart_half_out_of_frame_is_refused_in_words():
    image = picture(CHARTED[0])
    with pytest.raises(ValueError, match="outside the picture"):
        read_chart(image, [(1100, 650), (1500, 650), (1500, 790), (1100, 790)])
    with pytest.raises(ValueError, match="on a line"):
        read_chart(image, [(0, 0), (10, 10), (20, 20), (30, 30)])
    with pytest.raises(ValueError, match="burnt out"):
        read_chart(np.ones((100, 100, 3)), [(0, 0), (99, 0), (99, 99), (0, 99)])


def grey(value: float, n: int = 400, noise: float = 0.01):
    return np.clip(np.random.default_rng(1).normal(value, noise, (n, 3)), 0, 1)


def test_a_highlight_does_not_lighten_the_colour_of_a_region():
    plain = region_colour(grey(0.3), None)
    shining = region_colour(np.vstack([grey(0.3), grey(0.97, 120), np.ones((60, 3))]), None)
    assert float(ciede2000(plain.lab, shining.lab)) < 0.3
    assert shining.used < 0.75


@pytest.mark.parametrize(("pixels", "says"), [(grey(0.3, 10), "larger"), (np.ones((400, 3)), "burnt out")])
def test_a_region_that_shows_no_colour_is_refused(pixels, says):
    with pytest.raises(ValueError, match=says):
        region_colour(pixels, None)


KNOWN = {
    "indigo": Reference("harbour indigo", (28.0, 16.0, -40.0), 1.5),
    "navy": Reference("signal navy", (24.0, 6.0, -24.0), 1.5),
    "slate": Reference("wet slate", (40.0, -2.0, -6.0), 1.5),
}


def judged(lab, spread=0.5, known=KNOWN):
    full = calibrate(
        Reading(
            np.linspace(0.05, 0.8, 60).reshape(20, 3),
            lab_of_linear(np.linspace(0.05, 0.8, 60).reshape(20, 3)),
            np.zeros(20),
        )
    )
    from registry.methods.colour import RegionColour

    return verdict(RegionColour(lab, spread, 1.0, 400, True), full, known)


def test_the_sentence_names_the_nearest_and_what_it_clearly_is_not():
    said = judged((28.5, 15.5, -39.0))
    assert said.sentence.startswith("Closest to harbour indigo (ΔE 0.")
    assert "clearly not signal navy (ΔE" in said.sentence
    assert [match.excluded for match in said.matches] == [False, True, True]


def test_two_states_too_near_for_this_picture_are_said_to_be_so():
    known = {"a": Reference("gull white", (90, 0, 4), 1.0), "b": Reference("sail white", (90, 0, 5), 1.0)}
    assert "cannot be told apart in this picture" in judged((90, 0, 4.5), known=known).sentence


def test_a_colour_like_no_known_state_is_said_to_be_so():
    assert judged((60, 60, 60)).sentence.startswith("Unlike every known state; the nearest is")
    assert "No state of this detail" in judged((60, 60, 60), known={}).sentence


def test_without_a_chart_there_is_no_number():
    with pytest.raises(ValueError, match="chart or a grey card"):
        verdict(
            region_colour(grey(0.3), None),
            calibrate(read_chart(picture(CHARTED[0]), corners_of(CHARTED[0]))),
            KNOWN,
        )


def test_two_marks_in_one_frame_are_told_apart_relatively_and_better_with_places_swapped():
    """Navy and indigo bodies side by side, and again with their places swapped (rendered scenes)."""
    names = ["lg25_a_b_pair_front_left.jpg", "lg25_b_a_swapped_front_left.jpg"]
    pairs = []
    for name in names:
        bodies = [TRUTH[name]["examples"][item]["traits"]["body"]["box"] for item in ("lg25_a_2", "lg25_b_2")]
        # The front of the roof; the flanks mirror whatever stands beside them. By eye, from the pictures.
        spots = [(x + 0.30 * w, y + 0.12 * h, 0.20 * w, 0.06 * h) for x, y, w, h in bodies]
        pairs.append(tuple(region_colour(pixels_of(picture(name), spot), None) for spot in spots))
    once, twice = compare_regions(pairs[:1]), compare_regions(pairs)
    assert once.is_different is True
    assert "Swap the two models" in once.sentence
    assert twice.is_different is True
    assert "Swap" not in twice.sentence
    same = compare_regions([(pairs[0][0], pairs[0][0]), (pairs[1][0], pairs[1][0])])
    assert same.is_different is False
    assert compare_regions([(pairs[0][0], pairs[0][0])]).is_different is None
    with pytest.raises(ValueError, match="one pair"):
        compare_regions([])
