"""What comes out of clean_picture: upright, plain sRGB, without a word from the camera."""

import hashlib
import time
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, JpegImagePlugin

from registry.methods.photo import CleanPicture, PictureRefused, clean_picture
from tests.pictures import (
    SRGB,
    XMP_PACKET,
    chunk,
    exif,
    ink_profile,
    jpeg,
    opened,
    picture,
    png,
    saved,
    segment,
    swapped_profile,
    telling_jpeg,
)

MEGABYTES, MEGAPIXELS = 12_000_000, 40_000_000
GREEN = (40, 110, 90)
EVIDENCE = Path(__file__).parents[2] / "fixtures/pictures/be24_a_1_pack_left.jpg"


def clean(data: bytes) -> CleanPicture:
    return clean_picture(data, MEGABYTES, MEGAPIXELS)


def files_of(cleaned: CleanPicture) -> list[bytes]:
    return [cleaned.jpeg, *cleaned.thumbnails.values(), *cleaned.webp.values()]


def colour_of(data: bytes, x: int = 8, y: int = 8) -> tuple[int, ...]:
    return opened(clean(data).jpeg).getpixel((x, y))


def test_each_kind_of_picture_becomes_a_jpeg_of_the_same_size_and_colour():
    for kind in ("JPEG", "PNG", "WEBP"):
        cleaned = clean(saved(picture(120, 80, GREEN), kind))
        shown = opened(cleaned.jpeg)
        assert (shown.format, shown.size, shown.mode) == ("JPEG", (120, 80), "RGB"), kind
        assert (cleaned.width, cleaned.height) == (120, 80), kind
        assert shown.getpixel((60, 40)) == pytest.approx(GREEN, abs=3), kind


def test_equal_bytes_in_give_equal_bytes_out_named_by_their_digest():
    first, again = clean(telling_jpeg()), clean(telling_jpeg())
    assert first == again
    assert first.digest == hashlib.sha256(first.jpeg).hexdigest()


def test_thumbnails_keep_the_proportions_and_nothing_is_enlarged():
    wide = clean(jpeg(1600, 1000)).thumbnails
    assert {side: opened(data).size for side, data in wide.items()} == {"800": (800, 500), "320": (320, 200)}
    small = clean(jpeg(500, 100)).thumbnails
    assert {side: opened(data).size for side, data in small.items()} == {"800": (500, 100), "320": (320, 64)}
    thread = clean(jpeg(4000, 1)).thumbnails
    assert opened(thread["320"]).size == (320, 1)


def test_pages_get_each_size_in_webp_as_well_and_one_as_wide_as_a_page_in_fewer_bytes():
    cleaned = clean(saved(opened(EVIDENCE.read_bytes()).resize((2400, 1600))))
    sizes = {side: (opened(each).format, opened(each).size) for side, each in cleaned.webp.items()}
    assert sizes == {
        "1600": ("WEBP", (1600, 1067)),
        "800": ("WEBP", (800, 533)),
        "320": ("WEBP", (320, 213)),
    }
    for side, each in cleaned.thumbnails.items():
        assert len(cleaned.webp[side]) < 0.7 * len(each), side
    small = clean(jpeg(500, 100)).webp
    assert opened(small["1600"]).size == opened(small["800"]).size == (500, 100), "nothing is enlarged"


def test_the_full_picture_keeps_the_colour_of_every_pixel():
    shown = opened(clean(jpeg()).jpeg)
    assert JpegImagePlugin.get_sampling(shown) == 0  # 4:4:4


def test_T16_nothing_the_camera_said_is_in_any_file():
    upload = telling_jpeg()
    assert upload.count(b"\xff\xd8\xff") == 2  # the picture, and a hidden one
    for tale in (b"secret-place", b"secret-camera", b"secret-serial", b"secret-comment", b"secret-tail"):
        assert tale in upload
    for data in files_of(clean(upload)):
        assert b"secret" not in data
        if data.startswith(b"RIFF"):
            assert data[12:16] == b"VP8 ", "a lossy picture and nothing beside it: RFC 9649 section 2.5"
        else:
            assert data.count(b"\xff\xd8\xff") == 1
            assert [name for name, _ in JpegImagePlugin.JpegImageFile(BytesIO(data)).applist] == ["APP0"]
        assert opened(data).getexif() == {}


def test_T16_notes_in_png_and_webp_are_dropped_as_well():
    notes = exif().tobytes()
    texts = chunk(b"tEXt", b"Comment\x00secret-comment") + chunk(
        b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + XMP_PACKET
    )
    uploads = [
        png(16, 16, bytes(256), chunk(b"eXIf", notes.removeprefix(b"Exif\x00\x00")), texts),
        saved(picture(), "WEBP", exif=notes, xmp=XMP_PACKET, icc_profile=SRGB),
    ]
    for upload in uploads:
        assert b"secret" in upload
        assert clean(upload).captured_on == date(2026, 3, 9)
        for data in files_of(clean(upload)):
            assert b"secret" not in data


# Source: CIPA DC-008 (Exif), tag 0x0112: how the blocks [[0, 1, 2], [3, 4, 5]] look once turned as the tag says.
UPRIGHT = {
    1: [[0, 1, 2], [3, 4, 5]],
    2: [[2, 1, 0], [5, 4, 3]],
    3: [[5, 4, 3], [2, 1, 0]],
    4: [[3, 4, 5], [0, 1, 2]],
    5: [[0, 3], [1, 4], [2, 5]],
    6: [[3, 0], [4, 1], [5, 2]],
    7: [[5, 2], [4, 1], [3, 0]],
    8: [[2, 5], [1, 4], [0, 3]],
}


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_T16_every_orientation_is_shown_upright(orientation):
    stored = Image.new("L", (3, 2))
    stored.putdata([0, 40, 80, 120, 160, 200])
    upload = saved(stored.resize((48, 32), Image.Resampling.NEAREST), quality=95, exif=exif(orientation))
    cleaned = clean(upload)
    shown = opened(cleaned.jpeg).convert("L")
    assert (cleaned.width, cleaned.height) == shown.size
    rows, columns = range(8, shown.height, 16), range(8, shown.width, 16)
    assert [[round(shown.getpixel((x, y)) / 40) for x in columns] for y in rows] == UPRIGHT[orientation]


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("2026:03:09 23:59:59", date(2026, 3, 9)),
        ("0000:00:00 00:00:00", None),
        ("1970:01:01 00:00:00", None),
        ("2026:13:40 00:00:00", None),
        ("yesterday", None),
    ],
)
def test_the_camera_day_is_kept_apart_when_it_makes_sense(said, kept):
    assert clean(jpeg(exif=exif(taken=said))).captured_on == kept


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")  # the reader's own word on it
def test_camera_notes_that_cannot_be_read_do_not_spoil_the_picture():
    plain = jpeg()
    broken = plain[:2] + segment(0xE1, b"Exif\x00\x00II*\x00\xff\xff\xff\x7f" + bytes(40)) + plain[2:]
    assert clean(broken).captured_on is None
    assert clean(broken).jpeg == clean(plain).jpeg


def test_colours_are_converted_by_the_profile_in_the_file():
    assert colour_of(jpeg(colour=(255, 0, 0))) == pytest.approx((255, 0, 0), abs=3)
    assert colour_of(jpeg(colour=(255, 0, 0), icc_profile=SRGB)) == pytest.approx((255, 0, 0), abs=3)
    assert colour_of(jpeg(colour=(255, 0, 0), icc_profile=swapped_profile())) == pytest.approx(
        (0, 255, 0), abs=4
    )


def test_a_profile_that_is_broken_or_of_another_kind_is_passed_over():
    for profile in (b"no profile at all", SRGB[:200], ink_profile()):
        assert colour_of(jpeg(colour=(255, 0, 0), icc_profile=profile)) == pytest.approx((255, 0, 0), abs=3)
    assert colour_of(saved(picture(colour=90, mode="L"), icc_profile=SRGB)) == pytest.approx(
        (90, 90, 90), abs=2
    )


def test_printing_colours_are_converted_by_their_profile():
    # L* 50 is 119 in sRGB: Y = 0.18419 by CIE 15, then the curve of IEC 61966-2-1, computed by hand.
    inks = {(0, 0, 0, 0): 255, (255, 0, 0, 0): 119, (0, 0, 0, 255): 0}
    for ink, grey in inks.items():
        upload = saved(picture(colour=ink, mode="CMYK"), icc_profile=ink_profile())
        assert colour_of(upload) == pytest.approx((grey,) * 3, abs=2), ink


@pytest.mark.parametrize("profile", [{}, {"icc_profile": SRGB}, {"icc_profile": b"broken"}])
def test_printing_colours_without_a_profile_that_fits_are_refused(profile):
    with pytest.raises(PictureRefused, match="CMYK.*sRGB"):
        clean(saved(picture(colour=(10, 20, 30, 40), mode="CMYK"), **profile))


def test_sixteen_bits_keep_their_upper_byte():
    grey = png(16, 16, b"\xa0\x7f" * 256, depth=16)
    coloured = png(16, 16, b"\xa0\x01\x50\xfe\x20\x80" * 256, depth=16, colours=2)
    assert colour_of(grey) == pytest.approx((0xA0,) * 3, abs=2)
    assert colour_of(coloured) == pytest.approx((0xA0, 0x50, 0x20), abs=3)


def test_sixteen_bits_with_one_transparent_colour_are_refused():
    with pytest.raises(PictureRefused, match="transparent"):
        clean(png(16, 16, b"\xa0\x7f" * 256, chunk(b"tRNS", b"\xa0\x7f"), depth=16))


def test_what_is_transparent_becomes_white():
    half = png(16, 16, b"\x00\x00\x00\x80" * 256, colours=6)
    assert colour_of(half) == pytest.approx((127,) * 3, abs=2)
    assert colour_of(png(16, 16, b"\x00\x00" * 256, colours=4)) == (255, 255, 255)
    palette = chunk(b"PLTE", b"\x10\x20\x30\xc0\x00\x00") + chunk(b"tRNS", b"\x00")
    assert colour_of(png(16, 16, bytes(256), palette, colours=3)) == (255, 255, 255)
    assert colour_of(png(16, 16, b"\x01" * 256, palette, colours=3)) == pytest.approx((192, 0, 0), abs=3)
    assert colour_of(png(16, 16, bytes(256), chunk(b"tRNS", b"\x00\x00"))) == (255, 255, 255)


def test_black_and_white_is_taken():
    assert colour_of(png(16, 16, b"\xff\xff" * 16, depth=1)) == (255, 255, 255)


def test_a_photo_of_12_megapixels_takes_less_than_a_second():
    texture = Image.effect_noise((500, 375), 60).resize((4000, 3000), Image.Resampling.BICUBIC)
    upload = saved(texture.convert("RGB"), quality=88, icc_profile=SRGB, exif=exif(6))
    spent = []
    for _ in range(2):
        started = time.process_time()
        cleaned = clean(upload)
        spent.append(time.process_time() - started)
    assert (cleaned.width, cleaned.height) == (3000, 4000)
    assert min(spent) < 1.0
