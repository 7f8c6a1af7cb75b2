"""What a picture file is made of: known by how it begins, and cut down to the parts that draw the picture.

A decoder never sees the rest. Notes, places, hidden previews, endless texts and whatever was appended to the
file are dropped unread, so that no reader of theirs can be tripped. Works on bytes alone and decodes nothing.
"""

import re
import struct
import zlib
from typing import Literal, NoReturn

from registry.methods.photo_refusals import PictureRefused

Kind = Literal["JPEG", "PNG", "WEBP", "HEIC"]

_MOST_PARTS = 20_000  # chunks or segments: a 12 MB photograph has a few thousand at the most
_MOST_TEXT = 4_000_000  # bytes of PNG text, once unpacked
_MOST_SCANS = 40  # of a progressive JPEG: usual is about 10, and each costs a pass over all pixels

_JPEG, _PNG = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"
_SOI, _EOI, _SOS, _TEM, _COM = 0xD8, 0xD9, 0xDA, 0x01, 0xFE
_NEXT_MARKER = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")  # neither a stuffed zero, a restart nor fill
_PNG_PARTS = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"})
_PNG_ONCE = frozenset({b"iCCP", b"eXIf"})
_OTHER_FILES = (
    (b"GIF8", "gif"),
    (b"%PDF", "pdf"),
    (b"BM", "bmp"),
    (b"PK\x03\x04", "zip"),
    (b"II*\x00", "tiff"),
    (b"MM\x00*", "tiff"),
    (b"<", "markup"),
)
_HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"})


def bare_file(data: bytes) -> tuple[Kind, bytes]:
    """The kind of picture that the first bytes tell, and the file without what draws nothing.

    Errors: PictureRefused for any other kind of file, a moving PNG, and a file of absurdly many parts.
    Source: ITU-T T.81 annex B (JPEG segments); PNG third edition section 5 (chunks); RFC 9649 section 2.3
            (WebP), ISO/IEC 14496-12 section 4.3 and 23008-12 (HEIC), both left whole: their readers take only what
            they need.
    """
    if data.startswith(_JPEG):
        return "JPEG", _bare_jpeg(data)
    if data.startswith(_PNG):
        return "PNG", _bare_png(data)
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP", data
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "HEIC", data
    raise PictureRefused(_what_it_is(data))


def refuse_moving() -> NoReturn:
    raise PictureRefused("moving")


def _bare_jpeg(data: bytes) -> bytes:
    """Tables, frame, scans, colour profile and Exif, up to the end mark."""
    kept, at, parts, scans, in_scan = [b"\xff\xd8"], 2, 0, 0, False
    while found := _NEXT_MARKER.search(data, at):
        code = data[found.end() - 1]
        if in_scan:
            kept.append(data[at : found.start()])
        if code == _EOI:
            kept.append(b"\xff\xd9")
            return b"".join(kept)
        at, in_scan, parts = found.end(), code == _SOS, parts + 1
        if code not in (_SOI, _TEM):
            length = int.from_bytes(data[at : at + 2])
            if _draws(code, data[at + 2 : at + length]):
                kept.append(data[at - 2 : at + length])
            at += max(2, length)
        scans += in_scan
        if parts > _MOST_PARTS or scans > _MOST_SCANS:
            raise PictureRefused("too_many_parts")
    return b"".join(kept)  # no end mark: the file was cut short, and the decoder will say so


def _draws(code: int, body: bytes) -> bool:
    """Whether a JPEG segment bears on how the picture looks: of APPn and comments, only a few do."""
    if code == 0xE1:
        return body.startswith(b"Exif\x00\x00")
    if code == 0xE2:
        return body.startswith(b"ICC_PROFILE\x00")
    return code in (0xE0, 0xEE) or not (0xE0 <= code <= 0xEF or code == _COM)


def _bare_png(data: bytes) -> bytes:
    """Header, palette, pixels, transparency, colour profile and Exif, up to the end chunk."""
    kept, at, parts, text, seen = [_PNG], len(_PNG), 0, 0, set()
    while len(data) >= at + 8:
        length, name = struct.unpack_from(">I4s", data, at)
        text += _unpacked_size(name, data[at + 8 : at + 8 + length])
        if name == b"acTL":
            refuse_moving()
        if name == b"tRNS" and data[24] == 16:
            raise PictureRefused("transparent_16_bit")
        if name in _PNG_PARTS or (name in _PNG_ONCE and name not in seen):
            kept.append(data[at : at + 12 + length])
        seen.add(name)
        at, parts = at + 12 + length, parts + 1
        if name == b"IEND":
            break
        if parts > _MOST_PARTS:
            raise PictureRefused("too_many_parts")
        if text >= _MOST_TEXT:
            raise PictureRefused("too_much_text")
    return b"".join(kept)


def _unpacked_size(name: bytes, body: bytes) -> int:
    """How long the packed text of a chunk is, counted up to the limit; 0 for any other chunk.

    The text itself is dropped. A file made to burst whoever unpacks it is not taken all the same.
    """
    said = body.partition(b"\x00")[2]
    if name == b"zTXt":
        packed = said[1:]
    elif name == b"iTXt" and said[:1] == b"\x01":
        packed = said.split(b"\x00", 3)[-1]  # after its flags, language and translated keyword
    else:
        return 0
    try:
        return len(zlib.decompressobj().decompress(packed, _MOST_TEXT))
    except zlib.error:
        raise PictureRefused("broken_text") from None


def _what_it_is(data: bytes) -> str:
    """The code of a usual mistake, so that the sender knows which file they picked."""
    if not data:
        return "empty"
    start = data[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    for signature, name in _OTHER_FILES:
        if start.startswith(signature):
            return name
    return "unknown"
