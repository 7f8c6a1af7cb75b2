"""Gloss meter readings by the rules of ISO 2813 (angles, thresholds and black glass: from memory)."""

import math

import pytest

from registry.methods.gloss_meter import ANGLES, gloss_range, read_meter, reflectance, smooth_gloss

# Fresnel reflectance of the black glass, n = 1.567: figures of ASTM D523, from memory.
PUBLISHED = {20: 0.049078, 60: 0.100056, 85: 0.619148}


@pytest.mark.parametrize("angle", ANGLES)
def test_black_glass_is_100_at_each_angle_and_reflects_what_is_published(angle):
    assert reflectance(1.567, angle) == pytest.approx(PUBLISHED[angle], abs=1e-6)
    assert smooth_gloss(1.567, angle) == pytest.approx(100)
    assert smooth_gloss(1.5, angle) < 100 < smooth_gloss(1.6, angle)


def test_upright_reflectance_is_the_textbook_one():
    """((n - 1) / (n + 1))^2 at 0 degrees (Hecht, Optics): 4 % for n = 1.5; grazing, everything."""
    assert reflectance(1.5, 0) == pytest.approx(0.04)
    assert reflectance(1.5, 90) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("angle", "units", "better"),
    [
        (60, 70.0, None), (60, 70.1, 20), (60, 10.0, None), (60, 9.9, 85), (60, 40, None), (60, 0, 85),
        (20, 60, None), (20, 9.9, 60), (85, 30, None), (85, 70.1, 60),
    ],
)  # fmt: skip
def test_the_angle_follows_from_the_reading_at_60(angle, units, better):
    reading = read_meter(angle, units)
    assert (reading.angle, reading.gloss_units, reading.better_angle) == (angle, units, better)
    assert bool(reading.advice) == (better is not None)
    assert better is None or f"{better} degrees" in reading.advice


@pytest.mark.parametrize("angle", ANGLES)
def test_more_than_a_clear_coat_can_give_is_taken_with_a_word_of_doubt(angle):
    reading = read_meter(angle, 160)
    assert "black glass" in reading.advice
    assert reading.better_angle is None


@pytest.mark.parametrize("angle", [0, 45, 75, -60])
def test_other_angles_are_refused_by_name(angle):
    with pytest.raises(ValueError, match=f"^{angle} degrees .* Give 20, 60 or 85"):
        read_meter(angle, 50)


@pytest.mark.parametrize("units", [-0.1, 2000.1, math.nan, math.inf])
def test_what_no_meter_shows_is_refused(units):
    with pytest.raises(ValueError, match="gloss units cannot be"):
        read_meter(60, units)


def test_only_a_reading_at_60_has_a_range():
    """Low below 10, high above 70, semi-gloss between: common practice, no published source."""
    names = [gloss_range(60, units) for units in (0, 9.9, 10, 12.4, 70, 70.1)]
    assert names == ["low gloss"] * 2 + ["semi-gloss"] * 3 + ["high gloss"]
    assert {gloss_range(angle, units) for angle in (20, 85) for units in (5, 50, 90)} == {""}
