"""A collector's photograph, made safe to keep and to show.

What is stored is never what was sent. The file is known by how it begins, cut down to the parts that draw the
picture, measured before it is decoded, decoded whole, turned upright, brought to plain sRGB and written anew.
"""

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from io import BytesIO

import numpy as np
from PIL import ExifTags, Image, ImageCms
from PIL.ImageFile import ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.WebPImagePlugin import WebPImageFile

from registry.methods.photo_heic import heic_opened
from registry.methods.photo_parts import Kind, bare_file, refuse_moving
from registry.methods.photo_quality import MEASURED_SIDE, Quality, photo_quality
from registry.methods.photo_refusals import PictureRefused

__all__ = ["CleanPicture", "PictureRefused", "clean_picture"]

_QUALITY = 90
_LONGEST_SIDE = 20_000  # pixels; a JPEG cannot be written beyond 65,500
_THUMBNAIL_SIDES = (800, 320)  # pixels, longest side
_PAGE_SIDE = 1600  # pixels: as wide as a page, and sharp on most screens
_WEBP = {
    "quality": 85,
    "method": 2,
}  # half the bytes of the JPEG; a higher method saves 3 % more in twice the time
_MOST_PROFILE_BYTES = 4_000_000
_STRIP = 256  # rows
# Their readers keep several copies, and decoding has half a gigabyte.
_MOST_PIXELS: dict[Kind, int] = {"WEBP": 20_000_000, "HEIC": 30_000_000}

_READERS: dict[Kind, Callable[[bytes], ImageFile]] = {
    "JPEG": lambda data: JpegImageFile(BytesIO(data)),
    "PNG": lambda data: PngImageFile(BytesIO(data)),
    "WEBP": lambda data: WebPImageFile(BytesIO(data)),
    "HEIC": heic_opened,
}

# Source: CIPA DC-008 (Exif), tag 0x0112 Orientation. What brings a picture so tagged upright.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True, slots=True)
class CleanPicture:
    """What may be stored: JPEG bytes without metadata, and copies for pages by their longest side in pixels, the
    `thumbnails` in JPEG, and in WebP one as wide as a page besides.

    `digest` is the SHA-256 of `jpeg` in hex. `quality` says how fit it is to be evidence.
    `captured_on` is the camera's own date: private, only a hint.
    """

    jpeg: bytes
    digest: str
    width: int
    height: int
    captured_on: date | None
    thumbnails: dict[str, bytes]
    webp: dict[str, bytes]
    quality: Quality


def clean_picture(data: bytes, max_bytes: int, max_pixels: int) -> CleanPicture:
    """The picture in `data`, decoded and written anew as sRGB JPEG. Equal bytes in give equal bytes out.

    Shapes: the picture and its copies keep the proportions; nothing is enlarged.
    Units:  bytes and pixels. Colours go to sRGB by the ICC profile in the file, else they are taken as sRGB.
    Errors: PictureRefused for anything but one still JPEG, PNG or WebP picture within the limits, or HEIC where the
            extra `heic` is installed; the size is
            judged from the header, before any pixel is decoded. MemoryError where the caller's limit is passed.
    Source: CIPA DC-008 (Exif orientation and date), ICC.1 (colour profiles), IEC 61966-2-1 (sRGB).
    """
    if len(data) > max_bytes:
        raise PictureRefused(
            "file_too_large", megabytes=f"{len(data) / 1e6:.1f}", most=f"{max_bytes / 1e6:g}"
        )
    picture, captured_on = _decoded(_opened(data, max_pixels), max_pixels)
    # Thin coloured prints are evidence, so the full picture keeps the colour of every pixel.
    full = _jpeg_bytes(picture, subsampling="4:4:4")
    smaller = _smaller(picture)
    return CleanPicture(
        jpeg=full,
        digest=hashlib.sha256(full).hexdigest(),
        width=picture.width,
        height=picture.height,
        captured_on=captured_on,
        thumbnails={str(side): _jpeg_bytes(smaller[side], subsampling="4:2:0") for side in _THUMBNAIL_SIDES},
        webp={str(side): _webp_bytes(copy) for side, copy in smaller.items()},
        quality=_quality(picture),
    )


def _opened(data: bytes, max_pixels: int) -> ImageFile:
    """The one reader that fits the file, its header read and found within the limits, nothing decoded."""
    kind, bare = bare_file(data)
    try:
        opened = _READERS[kind](bare)
    except (PictureRefused, MemoryError):
        raise
    except Image.DecompressionBombError as bomb:
        raise PictureRefused("far_too_many_pixels", most=f"{max_pixels / 1e6:g}") from bomb
    except Exception as broken:  # nobody keeps the list of what a hostile file makes a reader raise
        raise PictureRefused("damaged") from broken
    _check_size(*opened.size, min(max_pixels, _MOST_PIXELS.get(kind, max_pixels)))
    if getattr(opened, "n_frames", 1) > 1:
        refuse_moving()
    return opened


def _check_size(width: int, height: int, max_pixels: int) -> None:
    if width * height > max_pixels:
        raise PictureRefused(
            "too_many_pixels",
            width=f"{width:,}",
            height=f"{height:,}",
            megapixels=f"{width * height / 1e6:,.1f}",
            most=f"{max_pixels / 1e6:g}",
        )
    if max(width, height) > _LONGEST_SIDE:
        raise PictureRefused("too_long", width=f"{width:,}", height=f"{height:,}", most=f"{_LONGEST_SIDE:,}")


def _decoded(opened: ImageFile, max_pixels: int) -> tuple[Image.Image, date | None]:
    """Upright RGB with nothing attached, and the camera's date."""
    try:
        opened.load()
        _check_size(*opened.size, max_pixels)  # of HEIC the header may say less
        turn, captured_on = _camera_notes(opened)
        picture = _plain_rgb(opened)
    except (PictureRefused, MemoryError):
        raise
    except Exception as broken:  # nobody keeps the list of what a hostile file makes a decoder raise
        raise PictureRefused("damaged") from broken
    del opened  # up to 160 MB, no longer needed when the colours were converted
    if turn is not None:
        picture = picture.transpose(turn)
    picture.info.clear()
    return picture, captured_on


def _camera_notes(opened: ImageFile) -> tuple[Image.Transpose | None, date | None]:
    """How to turn the picture, and the day the camera says. Notes that cannot be read are no notes."""
    try:
        notes = opened.getexif()
        camera = notes.get_ifd(ExifTags.IFD.Exif)
        taken = camera.get(ExifTags.Base.DateTimeOriginal) or camera.get(ExifTags.Base.DateTimeDigitized)
        return _UPRIGHT.get(notes.get(ExifTags.Base.Orientation, 1)), _camera_day(taken)
    except Exception:  # as above
        return None, None


def _camera_day(taken: object) -> date | None:
    """The day in Exif's `YYYY:MM:DD HH:MM:SS`; None for a clock that was never set, or anything else.

    >>> _camera_day("2026:03:09 14:00:12")
    datetime.date(2026, 3, 9)
    """
    found = re.match(r"([0-9]{4}):([0-9]{2}):([0-9]{2})", taken) if isinstance(taken, str) else None
    try:
        day = date(*map(int, found.groups())) if found else None
    except ValueError:
        return None
    return day if day and day.year >= 1995 else None  # Exif was first published in 1995 (from memory)


def _plain_rgb(picture: Image.Image) -> Image.Image:
    """Eight bits of sRGB per channel, nothing transparent.

    Greys of 16 bits keep their upper byte, as the reader does with colours. CMYK is taken only with a profile
    that fits: without one its colours would be a guess, and colour is evidence.
    """
    profile = picture.info.get("icc_profile")
    if picture.mode == "I;16":
        picture = picture.point(lambda level: level * (1 / 256)).convert("L")
    if picture.has_transparency_data:
        picture = _on_white(picture)
    if picture.mode not in ("RGB", "L", "CMYK"):
        picture = picture.convert("L" if picture.mode == "1" else "RGB")
    managed = _to_srgb(picture, profile) if profile else None
    if managed is None and picture.mode == "CMYK":
        raise PictureRefused("for_printing")
    return managed or (picture if picture.mode == "RGB" else picture.convert("RGB"))


def _on_white(picture: Image.Image) -> Image.Image:
    """Strip by strip: whole copies of a large picture would take more memory than decoding may have."""
    grey = picture.mode in ("1", "L", "LA")
    paper = Image.new("L" if grey else "RGB", picture.size, "white")
    for top in range(0, picture.height, _STRIP):
        strip = (0, top, picture.width, min(top + _STRIP, picture.height))
        layered = picture.crop(strip).convert("LA" if grey else "RGBA")
        paper.paste(layered.convert(paper.mode), strip, mask=layered.getchannel("A"))
    return paper


def _to_srgb(picture: Image.Image, profile: bytes) -> Image.Image | None:
    """Converted by the profile; None where the profile is broken or is not for this kind of picture."""
    if len(profile) > _MOST_PROFILE_BYTES:
        return None
    try:
        return ImageCms.profileToProfile(
            picture,
            ImageCms.ImageCmsProfile(BytesIO(profile)),
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None


def _quality(picture: Image.Image) -> Quality:
    longest = max(picture.size)
    factor = -(-longest // MEASURED_SIDE)
    near = picture.reduce(factor) if factor > 1 else picture
    return photo_quality(np.asarray(near.convert("L")), longest)


def _smaller(picture: Image.Image) -> dict[int, Image.Image]:
    """Copies by their longest side. A thumbnail is made from the one before, which looks the same and is faster."""
    made = {_PAGE_SIDE: _within(picture, _PAGE_SIDE)}
    for side in _THUMBNAIL_SIDES:
        made[side] = picture = _within(picture, side)
    return made


def _within(picture: Image.Image, side: int) -> Image.Image:
    scale = side / max(picture.size)
    if scale >= 1:
        return picture
    size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
    return picture.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _jpeg_bytes(picture: Image.Image, subsampling: str) -> bytes:
    written = BytesIO()
    picture.save(written, "JPEG", quality=_QUALITY, subsampling=subsampling)
    return written.getvalue()


def _webp_bytes(picture: Image.Image) -> bytes:
    written = BytesIO()
    picture.save(written, "WEBP", **_WEBP)
    return written.getvalue()
