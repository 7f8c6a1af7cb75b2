"""A length on a photograph by a known one, with its error: by a general library, the GUM, and rendered scenes."""

import json
import random
from math import cos, isclose, radians, sin, sqrt
from pathlib import Path

import pytest

from registry.methods.measure import (
    COVERAGE,
    SLANTED_TILT,
    SQUARE_TILT,
    angle_between,
    default_pointing,
    fits,
    full_size_um,
    measure,
    on_picture,
    tilt_allowance,
)

TRUTH = json.loads((Path(__file__).resolve().parents[2] / "fixtures" / "pictures" / "truth.json").read_text())
LEVEL = ((0.0, 0.0), (360.0, 0.0))

# Standard uncertainties by the general library `uncertainties` 3.2.3, each coordinate with the pointing error and the
# known length with its half-width over the square root of 3. Lines with one middle and direction: no allowance is due.
BY_LIBRARY = [
    (LEVEL, 36_000, 0, ((160, 0), (200, 0)), 1, 4000.0, 142.29164972072996),
    (((100, 700), (900, 640)), 40_000, 200, ((390, 678.25), (610, 661.75)), 3, 11000.0, 221.67704818903934),
    (((12.5, 80), (612.5, 530)), 27_000, 100, ((272.5, 275), (352.5, 335)), 2.5, 3600.0, 128.63615067025),
]


@pytest.mark.parametrize(
    ("reference", "known", "play", "measured", "pointing", "length", "error"), BY_LIBRARY
)
def test_length_and_error_are_those_of_a_general_library(
    reference, known, play, measured, pointing, length, error
):
    found = measure(reference, known, measured, pointing_px=pointing, known_play_um=play)
    assert found.length_um == length
    assert COVERAGE * error <= found.error_um < COVERAGE * error + 1
    assert isclose(found.ratio, length / known)
    assert found.caveats == ()


def test_a_product_of_powers_adds_squares_of_relative_errors():
    """JCGM 100:2008, 5.1.6, equation (12): here the powers are 1 and -1, and each line has two free ends."""
    found = measure(LEVEL, 36_000, ((80, 0), (280, 0)), pointing_px=2)
    by_hand = sqrt(2 * (2 / 360) ** 2 + 2 * (2 / 200) ** 2)
    assert isclose(found.error_um / (COVERAGE * 20_000), by_hand, rel_tol=2e-3)


def test_what_lies_otherwise_than_the_reference_is_less_exact_and_says_why():
    across = measure(LEVEL, 36_000, ((180, -50), (180, 50)), pointing_px=1)
    assert (across.angle, across.caveats) == (90.0, ("not_parallel",))
    along = measure(LEVEL, 36_000, ((130, 0), (230, 0)), pointing_px=1)
    assert along.error_um < across.error_um
    elsewhere = measure(LEVEL, 36_000, ((130, 0), (230, 0)), pointing_px=1, same_plane=False)
    assert elsewhere.caveats == ("other_plane",)
    assert elsewhere.error_um > across.error_um
    slanted = measure(LEVEL, 36_000, ((180, -50), (180, 50)), pointing_px=1, is_slanted=True)
    assert slanted.caveats == ("slanted", "not_parallel")
    assert slanted.error_um > 3 * across.error_um
    from_afar = measure(
        LEVEL, 36_000, ((130, 0), (230, 0)), pointing_px=1, same_plane=False, distance_um=500_000
    )
    assert along.error_um < from_afar.error_um < elsewhere.error_um / 2
    far = measure(LEVEL, 36_000, ((600, 0), (700, 0)), pointing_px=1)
    assert far.caveats == ("far_apart",)
    assert {r.length_um for r in (across, along, elsewhere, slanted, far)} == {10_000}


@pytest.mark.parametrize("tilt", [SQUARE_TILT, SLANTED_TILT])
@pytest.mark.parametrize("angle", [0, 1, 10, 30, 60, 90])
def test_the_allowance_for_tilt_bounds_what_any_axis_can_do(tilt, angle):
    def shortened(a):
        return sqrt(cos(a) ** 2 + (sin(a) * cos(tilt)) ** 2)

    worst = max(shortened(radians(a / 4 + angle)) / shortened(radians(a / 4)) - 1 for a in range(720))
    assert worst <= tilt_allowance(radians(angle), tilt) + 1e-12
    assert angle != 90 or isclose(worst, tilt_allowance(radians(angle), tilt))


@pytest.mark.parametrize(
    ("first", "second", "angle"),
    [(LEVEL, ((0, 0), (-5, 0)), 0), (LEVEL, ((0, 0), (0, -5)), 90), (LEVEL, ((1, 1), (2, 2)), 45),
     (((0, 0), (1, 10)), ((0, 0), (-1, 10)), 11.421)],
)  # fmt: skip
def test_an_angle_is_the_same_whichever_way_the_lines_were_drawn(first, second, angle):
    assert isclose(angle_between(first, second), angle, abs_tol=1e-3)
    assert isclose(angle_between(second[::-1], first), angle, abs_tol=1e-3)


@pytest.mark.parametrize(
    "said",
    [{"reference": ((5, 5), (7, 5))}, {"measured": ((0, 0), (0, 0))}, {"known_um": 0}, {"known_play_um": -1},
     {"pointing_px": 0}, {"distance_um": 0}, {"pointing_px": float("nan")}, {"measured": ((0, 0), (float("inf"), 0))}],
)  # fmt: skip
def test_what_says_nothing_is_refused(said):
    given = {"reference": LEVEL, "known_um": 36_000, "measured": ((0, 0), (40, 0)), "pointing_px": 1, **said}
    with pytest.raises(ValueError, match=r"at least|above 0"):
        measure(given.pop("reference"), given.pop("known_um"), given.pop("measured"), **given)


def test_a_state_fits_unless_the_measure_proves_that_it_does_not():
    assert fits(3_900, 300, 4_000)
    assert not fits(3_900, 300, 2_000)
    assert fits(3_900, 300, 4_200)
    assert not fits(3_900, 300, 4_201)
    assert fits(3_900, 300, 4_301, tolerance=101)


def test_full_size_is_the_published_scale():
    """1:64 is three sixteenths of an inch to the foot, 1:24 half an inch: model-railway practice (NMRA S-1.2, from
    memory); an inch is 25.4 mm exactly (International Yard and Pound Agreement 1959)."""
    foot = 304_800
    assert abs(full_size_um(round(25_400 * 3 / 16), 64) - foot) <= 64  # 4762.5 um, kept whole
    assert full_size_um(25_400 // 2, 24) == foot
    assert abs(full_size_um(70_310, 64) - 4_500_000) <= 64 * 5
    assert full_size_um(187_500, 24) == 4_500_000
    assert full_size_um(15_625, 64) == 1_000_000


def test_places_on_a_picture_and_how_exactly_one_points():
    assert on_picture((5_000, 10_000), 1200, 800) == (600, 800)
    assert [default_pointing(w, h) for w, h in ((300, 200), (1200, 800), (800, 1200), (4000, 3000))] == [
        2,
        3,
        3,
        10,
    ]


# Cameras of our own rendered pictures (fixtures/scenes/camera.py) look at lines of known length on the left side of
# a vehicle: x along it, z up, its side at y = 1.1 (lengths there are 10 mm).
SIDE_Y = 1.1
CAMERAS = {
    name: it["camera"]
    for name, it in TRUTH["pictures"].items()
    if name.endswith(("_left.jpg", "_1_left.jpg")) and "pair" not in name and "pack" not in name
}


def seen(camera, x, z, y=SIDE_Y):
    """Where the point lands, in pixels; the same pinhole as fixtures/scenes/camera.py."""
    ray = [c - o for c, o in zip((x, y, z), camera["location"], strict=True)]
    right, up, back = ([row[k] for row in camera["rotation"]] for k in range(3))
    depth = -sum(a * b for a, b in zip(ray, back, strict=True))
    scale = camera["focal_mm"] / depth
    along, above = (sum(a * b for a, b in zip(ray, axis, strict=True)) for axis in (right, up))
    width, height = TRUTH["size"]
    return (
        (0.5 + along * scale / camera["sensor_mm"][0]) * width,
        (0.5 - above * scale / camera["sensor_mm"][1]) * height,
    )


def test_known_lengths_of_the_rendered_scenes_lie_within_the_error():
    chance = random.Random(20)
    inside, tried, worst = 0, 0, 0.0
    for name, camera in CAMERAS.items():
        is_slanted = not name.endswith(("_1_left.jpg", "_2_left.jpg"))
        reference = (seen(camera, -1.8, 0.56), seen(camera, 1.8, 0.56))
        for _ in range(40):
            x0, x1 = (chance.uniform(-2.5, 2.5) for _ in range(2))
            z0, z1 = (chance.uniform(0.5, 2.0) for _ in range(2))
            true = round(10_000 * sqrt((x1 - x0) ** 2 + (z1 - z0) ** 2))
            if true < 3_000:
                continue
            wobbled = [
                tuple(c + chance.gauss(0, 2) for c in place)
                for place in (*reference, seen(camera, x0, z0), seen(camera, x1, z1))
            ]
            found = measure(
                (wobbled[0], wobbled[1]),
                36_000,
                (wobbled[2], wobbled[3]),
                pointing_px=2,
                is_slanted=is_slanted,
            )
            tried += 1
            inside += abs(found.length_um - true) <= found.error_um
            worst = max(worst, abs(found.length_um - true) / found.error_um)
    assert tried > 500
    assert inside / tried >= 0.95
    assert 0.5 < worst < 1.5, "an error so wide that nothing comes near it would say nothing"
