"""Files that are no pictures, or that are meant to do harm."""

import subprocess
import sys
import time
import zlib
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from registry.methods.photo import PictureRefused, clean_picture
from tests.pictures import chunk, exif, jpeg, opened, picture, png, saved, segment, vast_png

MEGABYTES, MEGAPIXELS = 12_000_000, 40_000_000
SCRIPT = b"<script>alert('payload-marker')</script>"
REST_OF_ZIP = b"PK\x03\x04payload-marker"


def clean(data: bytes):
    return clean_picture(data, MEGABYTES, MEGAPIXELS)


@cache
def moving(kind: str, frames: int = 3) -> bytes:
    others = [Image.new("L", (4, 4), 50 + 100 * (n % 3)) for n in range(frames - 1)]
    return saved(Image.new("L", (4, 4)), kind, save_all=True, append_images=others)


@cache
def packed_zeros(megabytes: int) -> bytes:
    packer = zlib.compressobj(9)
    return b"".join(packer.compress(bytes(1_000_000)) for _ in range(megabytes)) + packer.flush()


def scan_bomb() -> bytes:
    """A progressive JPEG whose last scan comes 200 times."""
    slow = saved(picture(640, 480), progressive=True)
    last = slow[slow.rindex(b"\xff\xda") : -2]
    return slow[:-2] + last * 200 + b"\xff\xd9"


BOMBS = {
    "vast png": (vast_png, "50,000 x 50,000 pixels, 2,500.0 megapixels; at most 40"),
    "gif of 10,000 frames": (lambda: moving("GIF", 10_000), "GIF"),
    "endless zTXt": (lambda: png(8, 8, bytes(64), chunk(b"zTXt", b"k\0\0" + packed_zeros(100))), "text"),
    "endless iTXt": (
        lambda: png(8, 8, bytes(64), chunk(b"iTXt", b"k\0\1\0en\0k\0" + packed_zeros(100))),
        "text",
    ),
    "many texts": (
        lambda: png(8, 8, bytes(64), *[chunk(b"zTXt", b"k\0\0" + packed_zeros(1))] * 9_000),
        "text",
    ),
    "broken texts": (
        lambda: png(8, 8, bytes(64), *[chunk(b"zTXt", b"k\0\0" + packed_zeros(1)[:-9] + bytes(9))] * 9_000),
        "text",
    ),
    "endless profile": (
        lambda: png(8, 8, bytes(64), chunk(b"iCCP", b"k\0\0" + packed_zeros(100))),
        "damaged",
    ),
    "many chunks": (lambda: png(8, 8, bytes(64), chunk(b"tEXt", b"k\0") * 700_000), "parts"),
    "many segments": (lambda: jpeg()[:2] + b"\xff\xe5\0\2" * 2_900_000 + jpeg()[2:], "parts"),
    "many scans": (scan_bomb, "parts"),
    "nothing but fill": (lambda: b"\xff\xd8" + b"\xff" * 11_900_000, "damaged"),
}


@pytest.mark.parametrize("name", BOMBS)
def test_T13_a_bomb_is_refused_in_less_than_two_seconds(name):
    make, why = BOMBS[name]
    bomb = make()
    assert len(bomb) <= MEGABYTES
    started = time.process_time()
    with pytest.raises(PictureRefused, match=why):
        clean(bomb)
    assert time.process_time() - started < 2


MEASURE = """
import resource, sys
from pathlib import Path
from registry.methods.photo import PictureRefused, clean_picture
bomb = Path(sys.argv[1]).read_bytes()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    clean_picture(bomb, 12_000_000, 40_000_000)
except PictureRefused:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


@pytest.mark.parametrize("name", ["vast png", "gif of 10,000 frames", "endless zTXt"])
def test_T13_a_bomb_fills_no_memory(name, tmp_path):
    (tmp_path / "bomb").write_bytes(BOMBS[name][0]())
    root = Path(__file__).resolve().parents[2]
    grown = subprocess.run(
        [sys.executable, "-c", MEASURE, str(tmp_path / "bomb")], cwd=root, check=True, capture_output=True
    ).stdout
    assert int(grown) < 50_000  # kilobytes on Linux


def test_T13_the_limits_are_named_with_what_was_sent():
    with pytest.raises(PictureRefused, match="200 x 100 pixels.*at most 0.019999 are taken"):
        clean_picture(jpeg(200, 100), MEGABYTES, 19_999)
    assert clean_picture(jpeg(200, 100), MEGABYTES, 20_000).width == 200
    upload = jpeg()
    with pytest.raises(PictureRefused, match="MB; at most"):
        clean_picture(upload, len(upload) - 1, MEGAPIXELS)
    with pytest.raises(PictureRefused, match="20,001 x 2 pixels; neither side may pass 20,000"):
        clean(png(20_001, 2, bytes(40_002)))


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_T13_a_moving_picture_is_refused(kind):
    with pytest.raises(PictureRefused, match="moving picture"):
        clean(moving(kind))


def test_T13_a_webp_is_taken_as_large_as_its_reader_can_do_with_the_memory():
    vast = saved(Image.new("L", (8_000, 2_501)), "WEBP", quality=1, method=0)
    with pytest.raises(PictureRefused, match="8,000 x 2,501 pixels.*at most 20 are taken"):
        clean(vast)


def test_a_second_picture_behind_the_first_as_some_phones_add_is_left_out():
    behind = saved(
        picture(colour=(250, 0, 0)), "MPO", save_all=True, append_images=[picture(colour=(0, 0, 250))]
    )
    assert behind.count(b"\xff\xd8\xff") == 2
    assert opened(clean(behind).jpeg).getpixel((9, 9)) == pytest.approx((250, 0, 0), abs=3)


TAKEN_POLYGLOTS = {
    "html behind a jpeg": lambda: jpeg() + SCRIPT,
    "html in a comment": lambda: jpeg()[:2] + segment(0xFE, b"--><html>" + SCRIPT) + jpeg()[2:],
    "html in the camera's notes": lambda: jpeg()[:2] + segment(0xE1, b"Exif\0\0" + SCRIPT) + jpeg()[2:],
    "html in a colour profile": lambda: jpeg(icc_profile=SCRIPT),
    "zip behind a png": lambda: saved(picture(), "PNG") + REST_OF_ZIP,
    "zip inside a png": lambda: png(16, 16, bytes(256), chunk(b"zIPp", REST_OF_ZIP)),
    "html behind a webp": lambda: saved(picture(), "WEBP") + SCRIPT,
}


@pytest.mark.parametrize("name", TAKEN_POLYGLOTS)
def test_T14_a_second_meaning_does_not_survive(name):
    upload = TAKEN_POLYGLOTS[name]()
    assert b"payload-marker" in upload
    cleaned = clean(upload)
    for data in (cleaned.jpeg, *cleaned.thumbnails.values(), *cleaned.webp.values()):
        assert b"payload-marker" not in data
        assert b"<" + b"script" not in data


def test_T14_a_gif_that_is_also_a_script_is_refused():
    with pytest.raises(PictureRefused, match="This is a GIF"):
        clean(b"GIF89a=1;" + SCRIPT)


REFUSED = {
    "svg": (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "a web page or an SVG drawing"),
    "svg after a byte order mark": (b"\xef\xbb\xbf \n<?xml version='1.0'?><svg/>", "SVG"),
    "html": (b"<!doctype html><title>photo.jpg</title>", "a web page"),
    "html with jpeg magic in front": (b"\xff\xd8\xff" + SCRIPT, "damaged"),
    "html with png magic in front": (b"\x89PNG\r\n\x1a\n" + SCRIPT, "damaged"),
    "html with webp magic in front": (b"RIFF\x00\x01\x00\x00WEBP" + SCRIPT, "damaged"),
    "pdf": (b"%PDF-1.7\n", "PDF"),
    "heic without a picture": (
        b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic",
        "damaged|HEIC.*share as JPEG",
    ),
    "avif": (b"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1avif", "no JPEG, PNG or WebP"),
    "tiff": (b"II*\x00\x08\x00\x00\x00", "TIFF"),
    "zip": (b"PK\x03\x04" + bytes(30), "ZIP"),
    "text": (b"roof crest: anchor", "no JPEG, PNG or WebP"),
    "empty": (b"", "empty"),
    "magic alone": (b"\xff\xd8\xff", "damaged"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_T15_what_is_no_picture_is_refused_by_what_it_is(name):
    data, why = REFUSED[name]
    with pytest.raises(PictureRefused, match=why):
        clean(data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_cut_short_is_refused(kind):
    whole = saved(Image.effect_noise((120, 80), 90).convert("RGB"), kind)
    with pytest.raises(PictureRefused, match="damaged or cut short"):
        clean(whole[: len(whole) // 2])


NOISE = Image.effect_noise((48, 32), 90).convert("RGB")
SEEDS = [
    saved(NOISE, exif=exif(6)),
    saved(NOISE, progressive=True),
    saved(NOISE, "PNG", exif=exif(3)),
    saved(NOISE.convert("P"), "PNG", transparency=3),
    saved(NOISE.convert("RGBA"), "WEBP", lossless=True, exif=exif(8)),
]


@given(
    seed=st.sampled_from(SEEDS),
    changes=st.lists(st.tuples(st.integers(0, 6_000), st.binary(max_size=6)), min_size=1, max_size=8),
)
def test_whatever_is_done_to_a_file_it_is_taken_clean_or_refused(seed, changes):
    data = bytearray(seed)
    for at, put in changes:
        data[at % len(data) : at % len(data) + 3] = put or b"\x00"
    try:
        cleaned = clean_picture(bytes(data), MEGABYTES, 1_000_000)
    except PictureRefused:
        return
    assert opened(cleaned.jpeg).size == (cleaned.width, cleaned.height)
