"""sRGB, linear light and CIELAB (D50), against coloraide (Bradford adaptation) and, marked oracle, colour-science."""

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.colour import decode, encode, lab_of_linear, linear_of_lab

channels = st.tuples(*[st.integers(0, 255)] * 3)

# IEC 61966-2-1: the curve's two parts meet at 0.04045, and 188/255 is half the light (0.5029) within a step.
CURVE = [(0.0, 0.0), (0.04045, 0.0031308), (0.5, 0.2140411), (188 / 255, 0.5028865), (1.0, 1.0)]


@pytest.mark.parametrize(("srgb", "light"), CURVE)
def test_the_curve_of_srgb(srgb, light):
    assert float(decode(srgb)) == pytest.approx(light, abs=1e-6)
    assert float(encode(light)) == pytest.approx(srgb, abs=1e-6)


@given(channels)
def test_every_eight_bit_colour_as_another_library_has_it(rgb):
    theirs = Color("srgb", [value / 255 for value in rgb]).convert("lab").coords()
    assert lab_of_linear(decode(np.array(rgb) / 255)) == pytest.approx(theirs, abs=0.02)


@given(channels)
def test_there_and_back_again(rgb):
    light = decode(np.array(rgb) / 255)
    assert linear_of_lab(lab_of_linear(light)) == pytest.approx(light, abs=1e-9)


@pytest.mark.oracle
@pytest.mark.filterwarnings("ignore")  # it says at length which drawing libraries it misses
def test_the_matrix_of_colour_science():
    import colour

    space = colour.RGB_COLOURSPACES["sRGB"]
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    rgb = np.random.default_rng(7).random((500, 3))
    xyz = colour.RGB_to_XYZ(rgb, space, white, "Bradford")
    theirs = colour.XYZ_to_Lab(xyz, white)
    assert lab_of_linear(rgb) == pytest.approx(theirs, abs=0.05)
