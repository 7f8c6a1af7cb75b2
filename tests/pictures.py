"""Picture files for tests, from plain to hostile; all are made here, none is a photograph of anything."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

from PIL import ExifTags, Image, ImageCms

PLACE = (52.0, 22.0, 26.0)  # degrees, minutes, seconds: what must never be stored
XMP_PACKET = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><exif:GPSLatitude>secret-place</exif:GPSLatitude></x:xmpmeta>'
)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def picture(
    width: int = 120, height: int = 80, colour: object = (40, 110, 90), mode: str = "RGB"
) -> Image.Image:
    return Image.new(mode, (width, height), colour)  # type: ignore[arg-type]


def saved(image: Image.Image, kind: str = "JPEG", **how: object) -> bytes:
    written = BytesIO()
    image.save(written, kind, **how)
    return written.getvalue()


def jpeg(width: int = 120, height: int = 80, colour: object = (40, 110, 90), **how: object) -> bytes:
    return saved(picture(width, height, colour), **how)


def opened(data: bytes) -> Image.Image:
    with Image.open(BytesIO(data)) as image:
        image.load()
    return image


def exif(orientation: int = 1, taken: str = "2026:03:09 14:00:12") -> Image.Exif:
    """Camera notes with a place, a serial number and a date."""
    notes = Image.Exif()
    notes[ExifTags.Base.Orientation] = orientation
    notes[ExifTags.Base.Make] = "secret-camera"
    camera = notes.get_ifd(ExifTags.IFD.Exif)
    camera[ExifTags.Base.DateTimeOriginal] = taken
    camera[ExifTags.Base.BodySerialNumber] = "secret-serial"
    place = notes.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", PLACE
    return notes


def with_thumbnail(notes: Image.Exif, hidden: bytes) -> bytes:
    """The Exif block with a second, hidden picture in it (its IFD 1)."""
    block = notes.tobytes().removeprefix(b"Exif\x00\x00")
    order = "<" if block[:2] == b"II" else ">"
    first = struct.unpack_from(order + "I", block, 4)[0]
    link = first + 2 + 12 * struct.unpack_from(order + "H", block, first)[0]
    at = len(block) + 2 + 2 * 12 + 4
    entries = struct.pack(order + "HHHIIHHIII", 2, 0x0201, 4, 1, at, 0x0202, 4, 1, len(hidden), 0)
    return (
        b"Exif\x00\x00"
        + block[:link]
        + struct.pack(order + "I", len(block))
        + block[link + 4 :]
        + entries
        + hidden
    )


def segment(code: int, body: bytes) -> bytes:
    """One JPEG segment."""
    return bytes([0xFF, code]) + struct.pack(">H", len(body) + 2) + body


def telling_jpeg(orientation: int = 1, width: int = 120, height: int = 80) -> bytes:
    """A JPEG that tells all: place and serial number in Exif, XMP and IPTC, a comment, a hidden preview, a tail."""
    hidden = jpeg(16, 16, (250, 0, 250))
    plain = jpeg(width, height, icc_profile=SRGB, exif=with_thumbnail(exif(orientation), hidden))
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x11\x1c\x02\x5a\x00\x0csecret-place\x00"
    notes = segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + XMP_PACKET) + segment(0xED, iptc)
    return plain[:2] + notes + segment(0xFE, b"secret-comment") + plain[2:] + b"secret-tail"


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, pixels: bytes, *more: bytes, depth: int = 8, colours: int = 0) -> bytes:
    """A PNG by hand: `pixels` row by row without filter bytes, `more` chunks before them (RFC 2083 section 4)."""
    row = len(pixels) // height
    raw = b"".join(b"\x00" + pixels[at : at + row] for at in range(0, len(pixels), row))
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colours, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + header
        + b"".join(more)
        + chunk(b"IDAT", zlib.compress(raw))
        + chunk(b"IEND", b"")
    )


def vast_png(side: int = 50_000) -> bytes:
    """Says it has side x side pixels; the file itself is tiny."""
    packed = zlib.compress(bytes(side // 8 + 1), 9)
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def swapped_profile() -> bytes:
    """An sRGB profile with red and green exchanged: what it calls red is green."""
    return SRGB.replace(b"rXYZ", b"tmp.", 1).replace(b"gXYZ", b"rXYZ", 1).replace(b"tmp.", b"gXYZ", 1)


def ink_profile() -> bytes:
    """A small CMYK profile: cyan ink darkens the paper to L* 50, black ink to L* 0, the others do nothing.

    Source of the layout: ICC.1:2010 sections 7.2 (header), 10.10 (lut8Type) and 10.31 (XYZType).
    """
    curve = bytes(range(256))
    nodes = b"".join(
        bytes([0 if black else (128 if cyan else 255), 128, 128])
        for cyan in (0, 1) for _magenta in (0, 1) for _yellow in (0, 1) for black in (0, 1)
    )  # fmt: skip
    one = struct.pack(">9i", *(65536 if n % 4 == 0 else 0 for n in range(9)))
    table = b"mft1\x00\x00\x00\x00\x04\x03\x02\x00" + one + 4 * curve + nodes + 3 * curve
    white = b"XYZ \x00\x00\x00\x00" + struct.pack(">3i", 0xF6D6, 0x10000, 0xD32D)  # D50
    at = 128 + 4 + 2 * 12
    tags = struct.pack(">I", 2) + struct.pack(">4sII", b"A2B0", at + len(white), len(table))
    tags += struct.pack(">4sII", b"wtpt", at, len(white))
    header = struct.pack(
        ">I4sI4s4s4s12s4s4sI4s4s8sI3i48s",
        at + len(white) + len(table), b"", 0x02400000, b"prtr", b"CMYK", b"Lab ", b"", b"acsp", b"",
        0, b"", b"", b"", 0, 0xF6D6, 0x10000, 0xD32D, b"",
    )  # fmt: skip
    return header + tags + white + table
