"""Small pictures of a state: what is cut out, how much it weighs, and what is refused."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from registry.methods.crops import FORMATS, MOST_BYTES, PRINTED, SMALL, cut, small_crop


def picture(pixels: np.ndarray) -> bytes:
    written = BytesIO()
    Image.fromarray(pixels).save(written, "JPEG", quality=95)
    return written.getvalue()


def test_the_box_and_nothing_else_is_cut_out():
    pixels = np.zeros((600, 800, 3), dtype=np.uint8)
    pixels[300:, 400:] = (250, 200, 30)
    cut = Image.open(BytesIO(small_crop(picture(pixels), (0.55, 0.55, 0.4, 0.4))))
    assert cut.size == SMALL
    assert np.abs(np.asarray(cut, dtype=int) - (250, 200, 30)).max() <= 6
    assert np.asarray(Image.open(BytesIO(small_crop(picture(pixels), (0, 0, 0.45, 0.45))))).max() <= 6


@pytest.mark.parametrize("kind", FORMATS)
def test_any_size_and_either_format_is_cut(kind):
    whole = picture(np.zeros((600, 800, 3), dtype=np.uint8))
    piece = Image.open(BytesIO(cut(whole, (0, 0, 0.5, 0.5), PRINTED, kind=kind)))
    assert (piece.format, piece.size) == (kind, PRINTED)


def test_the_busiest_picture_stays_within_the_bound():
    noise = np.random.default_rng(1).integers(0, 256, (108, 144, 3), dtype=np.uint8)
    assert len(small_crop(picture(noise), (0, 0, 1, 1))) <= MOST_BYTES


@pytest.mark.parametrize("box", [(-0.1, 0, 1, 1), (0, 0.5, 1, 0.6), (0, 0, 0, 1)])
def test_a_box_outside_the_picture_is_refused(box):
    with pytest.raises(ValueError, match="must lie inside"):
        small_crop(picture(np.zeros((20, 20, 3), dtype=np.uint8)), box)


@pytest.mark.parametrize("content", [b"", b"GIF89a", picture(np.zeros((99, 99, 3), dtype=np.uint8))[:300]])
def test_what_is_no_whole_jpeg_is_an_error_of_the_file(content):
    with pytest.raises(OSError, match=r"."):
        small_crop(content, (0, 0, 1, 1))
