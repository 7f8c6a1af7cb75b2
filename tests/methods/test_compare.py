"""Two photographs laid one over the other.

Corner errors are checked against homographies that the test itself applies: with scikit-image's bundled photographs
where the `oracle` marker asks for them, and with pictures of the demonstration otherwise.
"""

from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest

from registry.methods.compare import WHOLE, CannotCompare, compare

PICTURES = Path(__file__).parents[2] / "fixtures" / "pictures"
# Published with its mapped points in our check values: Hartley & Zisserman (2004), ch. 4, for the transform.
KNOWN = np.array([[1.05, 0.08, 12.0], [-0.04, 0.97, 20.0], [0.0001, -5e-05, 1.0]])
MAPPED = {(0, 0): (12.0, 20.0), (511, 511): (574.745259, 482.892107), (256, 256): (297.472354, 254.818325)}


@cache
def picture(name, side=600):
    whole = cv2.cvtColor(cv2.imread(str(PICTURES / f"{name}.jpg")), cv2.COLOR_BGR2RGB)
    scale = side / max(whole.shape[:2])
    return cv2.resize(whole, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)


def refusal(*given, **more):
    with pytest.raises(CannotCompare) as caught:
        compare(*given, **more)
    assert str(caught.value)[0].isupper()
    return caught.value.code


def corner_errors(found, there, here, truth):
    """Pixels of the first picture by which the corners of the second miss their true places."""
    tall, wide = there.shape[:2]
    percent = np.array([[0, 0, 1], [100, 0, 1], [100, 100, 1], [0, 100, 1]], float)
    lifted = percent @ np.array(found.homography).reshape(3, 3).T
    got = lifted[:, :2] / lifted[:, 2:] * np.array(here.shape[1::-1]) / 100
    pixels = percent * np.array([wide / 100, tall / 100, 1])
    true = pixels @ truth.T
    return np.linalg.norm(got - true[:, :2] / true[:, 2:], axis=1)


def warped(source, truth, size):
    return cv2.warpPerspective(source, truth, size, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REFLECT)


def test_the_published_points_are_mapped_as_published():
    for (x, y), wanted in MAPPED.items():
        lifted = KNOWN @ (x, y, 1)
        assert np.allclose(lifted[:2] / lifted[2], wanted, atol=1e-6)


TURNED = np.array([[0.97, -0.05, 30.0], [0.04, 0.98, 12.0], [0.00002, -0.00003, 1.0]])


@pytest.mark.parametrize("truth", [TURNED, np.diag([0.6, 0.6, 1.0])], ids=["turned", "much smaller"])
def test_a_known_homography_is_found_within_a_pixel(truth):
    there = picture("bw24_a_1_pack_left")
    here = warped(there, truth, (600, 400))
    # The warp moves pixel centres; the answer speaks of edges, half a pixel away.
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    errors = corner_errors(compare(here, there), there, here, half @ truth @ np.linalg.inv(half))
    assert errors.max() <= 1.0, errors


@pytest.mark.oracle
@pytest.mark.parametrize("name", ["astronaut", "coffee", "chelsea", "camera", "brick"])
def test_known_homographies_on_the_photographs_of_scikit_image(name):
    skimage = pytest.importorskip("skimage")
    there = np.asarray(getattr(skimage.data, name)())
    there = there if there.ndim == 3 else np.repeat(there[..., None], 3, axis=2)
    here = warped(there, KNOWN, (600, 540))
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    errors = corner_errors(compare(here, there), there, here, half @ KNOWN @ np.linalg.inv(half))
    assert errors.max() <= 1.0, errors


def test_a_picture_against_itself_differs_nowhere():
    found = compare(picture("lg24_c_1_left"), picture("lg24_c_1_left"))
    assert found.is_same
    assert found.differences == ()
    assert np.allclose(found.homography, np.eye(3).ravel(), atol=1e-3)


def test_another_lamp_alone_differs_nowhere():
    lit = picture("ps24_a_1_high_left").astype(float)
    across = np.linspace(0.65, 1.1, lit.shape[1])[None, :, None]
    for lamp in (0.7, 1.15, across, np.array([1.08, 1.0, 0.85])):
        other = np.clip(lit * lamp, 0, 255).astype(np.uint8)
        assert compare(lit.astype(np.uint8), other).differences == (), lamp


def test_what_was_painted_over_is_found_where_it_is_in_both_and_in_either_order():
    there = picture("ps24_a_1_high_left")
    here = warped(there, TURNED, (600, 400)).copy()
    here[150:180, 250:290] = (250, 210, 40)
    centre = np.array([270, 165])
    origin = np.linalg.inv(TURNED) @ (*centre, 1)
    origin = origin[:2] / origin[2]
    forth, back = compare(here, there), compare(there, here)
    assert len(forth.differences) == len(back.differences) == 1
    one, other = forth.differences[0], back.differences[0]
    assert one.cue == "colour"
    for box, middle in ((one.a, centre), (one.b, origin), (other.a, origin), (other.b, centre)):
        x, y, w, h = box
        assert abs(x + w / 2 - middle[0] / 6) < 2, box
        assert abs(y + h / 2 - middle[1] / 4) < 2, box
        assert w * h < 3 * (40 / 6) * (30 / 4)
    both = np.array(forth.homography).reshape(3, 3) @ np.array(back.homography).reshape(3, 3)
    assert np.allclose(both / both[2, 2], np.eye(3), atol=0.6)


def test_chrome_wheels_instead_of_black_ones_are_the_two_differences():
    """bw24_a has black five-slot wheels, bw24_b chrome ones: fixtures/pictures/truth.json says where."""
    found = compare(picture("bw24_a_1_pack_left", 1000), picture("bw24_b_1_pack_left", 1000))
    boxes = sorted(difference.a for difference in found.differences)
    assert [round(x + w / 2) for x, _, w, _ in boxes] == pytest.approx([28, 69], abs=2)
    assert [round(y + h / 2) for _, y, _, h in boxes] == pytest.approx([75, 74], abs=3)


def test_two_examples_in_one_photo_are_compared_by_their_regions():
    shown = picture("ps25_a_b_pair_front_left", 1200)
    found = compare(shown, shown, (1, 15, 47, 60), (50, 15, 49, 60))
    assert not found.is_same
    assert found.differences
    for difference in found.differences:
        assert difference.a[0] + difference.a[2] <= 48.5
        assert difference.b[0] >= 49.5


def test_the_same_every_time():
    given = picture("lg24_a_1_pack_left"), picture("lg24_b_1_pack_left")
    assert compare(*given) == compare(*given)


def test_what_does_not_fit_is_refused_with_its_reason():
    van, tractor = picture("lg24_c_1_left"), picture("tm24_a_1_left")
    blank = np.full((400, 600, 3), 128, np.uint8)
    assert refusal(van, tractor) == "unlike"
    # Two castings in packs of one design: the card fits, what lies in it does not.
    assert refusal(picture("be24_a_1_pack_left"), picture("fh24_a_1_pack_left")) == "unlike"
    # Two more that features alone would lay over each other: plain bases, and the shadow on one table.
    assert refusal(picture("bo24_a_1_base", 1000), picture("bw25_a_1_base", 1000)) == "unlike"
    assert refusal(picture("fh24_e_1_high_left", 1000), picture("sh24_a_1_high_left", 1000)) == "unlike"
    assert refusal(blank, van) == refusal(van, blank) == "nothing_to_see"
    assert refusal(van, van, (10, 10, 1, 1)) == "region_too_small"
    assert refusal(van, picture("lg24_c_1_right")) in ("unlike", "mirrored")


def test_the_other_side_fits_where_it_is_said_to_be_mirrored():
    left, right = picture("lg24_c_1_left"), picture("lg24_c_1_right")
    found = compare(left, right, is_mirrored=True)
    assert found.homography[0] < 0
    assert found.differences[0].cue == "colour"  # the badge is on one door only
    flipped = np.ascontiguousarray(left[:, ::-1])
    assert refusal(left, flipped) in ("unlike", "mirrored", "bent")
    assert compare(left, flipped, is_mirrored=True).differences == ()


def test_very_different_sizes_still_fit():
    large = picture("kr24_a_1_pack_left", 1200)
    found = compare(large, cv2.resize(large, (300, 200), interpolation=cv2.INTER_AREA))
    assert np.allclose(found.homography, np.eye(3).ravel(), atol=0.5)


@pytest.mark.parametrize(
    "region", [(-1, 0, 50, 50), (60, 0, 50, 50), (0, 0, 0, 50), (0, 0, 50, float("nan"))]
)
def test_a_region_outside_the_picture_is_no_region(region):
    with pytest.raises(ValueError, match="leaves the picture"):
        compare(picture("lg24_c_1_left"), picture("lg24_c_1_left"), region)


def test_what_is_no_picture_is_said_so():
    with pytest.raises(ValueError, match="three channels"):
        compare(np.zeros((90, 90), np.uint8), np.zeros((90, 90, 3), np.uint8))
    assert WHOLE == (0, 0, 100, 100)
