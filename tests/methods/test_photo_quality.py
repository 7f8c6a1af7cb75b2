"""Advice on photographs: rendered ones are taken as they are, and each fault put in on purpose is named."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from PIL import Image, ImageFilter

from registry.methods.photo_quality import ADVICE, MEASURED_SIDE, blur, photo_quality

PICTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures").rglob("*.jpg"))
SOME = PICTURES[::23]


def advice(picture: Image.Image, longest: int = 4000) -> tuple[str, ...]:
    return photo_quality(np.asarray(picture.convert("L")), longest).advice


def rendered(path: Path) -> Image.Image:
    with Image.open(path) as picture:
        return picture.convert("RGB")


def lit(picture: Image.Image, light: np.ndarray) -> Image.Image:
    """The picture with its code values multiplied, pixel by pixel."""
    return Image.fromarray(np.clip(np.asarray(picture) * light, 0, 255).astype(np.uint8))


def test_rendered_photographs_are_sharp_and_light_enough():
    assert len(SOME) >= 4
    for path in SOME:
        said = set(advice(rendered(path)))
        assert said <= {"burnt", "burnt_left", "burnt_right", "burnt_top", "burnt_bottom"}, path.name


@pytest.mark.parametrize("path", SOME[:1], ids=lambda path: path.name)
def test_each_fault_put_in_is_named_and_where_it_is(path):
    picture = rendered(path)
    high, wide = picture.height, picture.width
    blurs = [
        photo_quality(np.asarray(picture.filter(ImageFilter.GaussianBlur(s)).convert("L")), wide).sharpness
        for s in (0, 2, 4, 8)
    ]
    assert blurs == sorted(blurs, reverse=True)
    assert len(set(blurs)) == 4
    assert "blurred" in advice(picture.filter(ImageFilter.GaussianBlur(8)))
    assert advice(lit(picture, np.full((1, 1, 1), 0.2))) == ("dark",)
    across, down = np.linspace(0.08, 1, wide)[None, :, None], np.linspace(0.08, 1, high)[:, None, None]
    even = lit(Image.blend(picture, Image.new("RGB", picture.size, (170, 170, 170)), 0.6), np.ones((1, 1, 1)))
    for place, light in (("left", across), ("right", across[:, ::-1]), ("top", down), ("bottom", down[::-1])):
        assert f"dark_{place}" in advice(lit(even, light)), place
        glare = np.ones((high, wide, 1))
        part = {
            "left": np.s_[:, : wide // 4],
            "right": np.s_[:, -wide // 4 :],
            "top": np.s_[: high // 4],
            "bottom": np.s_[-high // 4 :],
        }
        glare[part[place]] = 9
        assert f"burnt_{place}" in advice(lit(even, glare)), place
    assert "burnt" in advice(lit(picture, np.full((1, 1, 1), 9.0)))
    assert advice(picture, longest=799)[0] == "small"


def test_a_picture_of_nothing_is_said_to_be_one():
    grey = Image.new("L", (1200, 800), 128)
    noise = Image.fromarray((128 + np.random.default_rng(1).normal(0, 2, (800, 1200))).astype(np.uint8))
    assert advice(grey) == advice(noise) == ("nothing",)
    assert advice(Image.new("L", (1200, 800), 0)) == ("dark",)
    assert advice(Image.new("L", (1200, 800), 255)) == ("burnt",)
    assert photo_quality(np.asarray(grey), 1200).sharpness == 0


def test_close_up_only_the_sharpest_part_has_to_be_sharp():
    picture = rendered(SOME[0])
    soft = picture.filter(ImageFilter.GaussianBlur(8))
    box = (picture.width // 3, picture.height // 3, 2 * picture.width // 3, 2 * picture.height // 3)
    soft.paste(picture.crop(box), box)
    assert "blurred" not in advice(soft)


@settings(max_examples=40, deadline=None)
@given(arrays.arrays(np.uint8, st.tuples(st.integers(1, 40), st.integers(1, 40))))
def test_whatever_the_picture_numbers_are_whole_and_within_their_range(luma):
    found = photo_quality(luma, max(luma.shape))
    assert 0 <= found.sharpness <= 100
    assert 0 <= found.exposure <= 255
    assert 0 <= found.dark <= 1000
    assert 0 <= found.burnt <= 1000
    assert all(type(number) is int for number in (found.sharpness, found.exposure, found.dark, found.burnt))
    assert set(found.advice) <= set(ADVICE)
    assert found.advice[:1] == ("small",)


def test_no_pixel_is_no_picture():
    with pytest.raises(ValueError, match="at least one pixel"):
        photo_quality(np.zeros((0, 4), np.uint8), 4)


@pytest.mark.oracle
def test_blur_is_what_scikit_image_computes_and_faults_in_real_photographs_are_named():
    """Against skimage.measure.blur_effect (Crete et al. 2007), on the photographs that come with scikit-image."""
    skimage = pytest.importorskip("skimage")
    from skimage import data
    from skimage.measure import blur_effect

    assert skimage.__version__
    for name in ("astronaut", "chelsea", "coffee", "camera", "coins"):
        whole = Image.fromarray(getattr(data, name)()).convert("RGB")
        assert max(whole.size) <= MEASURED_SIDE
        seen = []
        for sigma in (0, 1, 2, 4):
            blurred = whole.filter(ImageFilter.GaussianBlur(sigma))
            luma = np.asarray(blurred.convert("L"))
            assert blur(luma.astype(np.float64)) == pytest.approx(blur_effect(luma), abs=1e-9), (name, sigma)
            seen.append(photo_quality(luma, 4000))
        assert [each.sharpness for each in seen] == sorted((each.sharpness for each in seen), reverse=True)
        assert seen[0].advice == ()
        assert "blurred" in seen[3].advice, name
        assert advice(lit(whole, np.full((1, 1, 1), 0.2))) == ("dark",)
        assert "burnt" in advice(lit(whole, np.full((1, 1, 1), 2.5)))
        assert "dark_left" in advice(lit(whole, np.linspace(0.12, 1, whole.width)[None, :, None])), name
