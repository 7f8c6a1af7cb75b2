"""HEIC, as some phones save pictures: drawn afresh where the extra is installed, refused with a remedy where not."""

import sys
from datetime import date
from io import BytesIO

import pytest
from PIL import Image

from registry.methods.photo import PictureRefused, clean_picture
from tests.pictures import SRGB, exif, opened, picture, swapped_profile

MEGABYTES, MEGAPIXELS = 12_000_000, 40_000_000
STUB = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"


def clean(data: bytes, max_pixels: int = MEGAPIXELS):
    return clean_picture(data, MEGABYTES, max_pixels)


def heic(image: Image.Image, *more: Image.Image, **how: object) -> bytes:
    from_pillow = pytest.importorskip("pillow_heif").from_pillow
    file, written = from_pillow(image), BytesIO()
    for other in more:
        file.add_from_pillow(other)
    file.save(written, **{"quality": 95, **how})
    return written.getvalue()


def test_T15_heic_without_the_extra_is_refused_with_the_way_to_send_jpeg(monkeypatch):
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(PictureRefused, match="This is a HEIC picture.*share as JPEG; send that"):
        clean(STUB)


def test_T15_heic_is_drawn_afresh_as_jpeg_and_the_same_bytes_give_the_same_picture():
    upload = heic(picture(120, 80, (40, 110, 90)))
    cleaned = clean(upload)
    shown = opened(cleaned.jpeg)
    assert (shown.format, shown.size, shown.mode) == ("JPEG", (120, 80), "RGB")
    assert shown.getpixel((60, 40)) == pytest.approx((40, 110, 90), abs=4)
    assert clean(upload) == cleaned
    assert set(cleaned.thumbnails) == {"800", "320"}


def test_T16_heic_is_upright_and_nothing_the_camera_said_is_kept():
    halves = Image.new("RGB", (160, 80), (200, 30, 30))
    halves.paste((30, 30, 200), (80, 0, 160, 80))
    red, blue = (200, 30, 30), (30, 30, 200)
    for orientation, size, first in ((1, (160, 80), red), (6, (80, 160), red), (3, (160, 80), blue)):
        upload = heic(halves, exif=exif(orientation).tobytes(), xmp=b"secret-place")
        assert b"secret" in upload
        cleaned = clean(upload)
        shown = opened(cleaned.jpeg)
        assert shown.size == size, orientation
        assert shown.getpixel((10, 10)) == pytest.approx(first, abs=12), orientation
        assert cleaned.captured_on == date(2026, 3, 9)
        for data in (cleaned.jpeg, *cleaned.thumbnails.values(), *cleaned.webp.values()):
            for tale in (b"secret", b"Exif", b"ICC_PROFILE", b"ftyp"):
                assert tale not in data


def test_colours_of_heic_are_converted_by_its_profile_and_none_is_guessed():
    green = picture(64, 64, (200, 40, 40))
    green.info["icc_profile"] = swapped_profile()
    assert opened(clean(heic(green)).jpeg).getpixel((9, 9)) == pytest.approx((40, 200, 40), abs=25)
    plain = picture(64, 64, (200, 40, 40))
    plain.info["icc_profile"] = SRGB
    assert opened(clean(heic(plain)).jpeg).getpixel((9, 9)) == pytest.approx((200, 40, 40), abs=6)
    wide = heic(picture(64, 64), save_nclx_profile=True, color_primaries=12, transfer_characteristics=16)
    with pytest.raises(PictureRefused, match="a way we do not read.*as JPEG"):
        clean(wide)


def test_T13_the_limits_hold_for_heic_too():
    with pytest.raises(PictureRefused, match="120 x 80 pixels"):
        clean(heic(picture(120, 80)), max_pixels=120 * 80 - 1)
    with pytest.raises(PictureRefused, match="moving picture"):
        clean(heic(picture(64, 64), picture(64, 64, (1, 2, 3))))
    upload = heic(Image.effect_noise((120, 80), 90).convert("RGB"))
    with pytest.raises(PictureRefused, match="damaged"):
        clean(upload[: len(upload) // 2])
