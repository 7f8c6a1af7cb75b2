"""Small pictures of a state, cut from a photograph that is stored already."""

from __future__ import annotations

from io import BytesIO

from PIL.JpegImagePlugin import JpegImageFile

Box = tuple[float, float, float, float]

SMALL = (144, 108)
"""Pixels: a state to choose on a phone, sharp enough to tell a gull from an anchor."""
MOST_BYTES = 6_000
QUALITIES = (72, 50, 25)
IN_TABLE = (320, 240)
"""Pixels: sharp at twice those of its box in a table."""
PRINTED = (480, 360)
"""Pixels: 40 mm wide at 300 to the inch."""
QUALITY = 82
FORMATS = ("WEBP", "JPEG")


def small_crop(jpeg: bytes, box: Box) -> bytes:
    """A JPEG of 144 x 108 pixels, of at most 6,000 bytes wherever a lower quality brings it there.

    Units:  left, top, width and height in shares of the picture's width and height, 0 to 1.
    Errors: ValueError where the box is not inside the picture; OSError where the bytes are no JPEG.

    >>> small_crop(b"", (0.5, 0, 0.6, 1))
    Traceback (most recent call last):
    ValueError: the box must lie inside the picture, got 0.5, 0, 0.6, 1
    """
    for quality in QUALITIES:
        written = cut(jpeg, box, SMALL, quality)
        if len(written) <= MOST_BYTES:
            break
    return written


def cut(jpeg: bytes, box: Box, sides: tuple[int, int], quality: int = QUALITY, kind: str = "JPEG") -> bytes:
    """A picture of that size and of one of the formats. Units and errors as of a small one."""
    left, top, width, height = box
    inside = 0 <= left and 0 <= top and left + width <= 1 + 1e-9 and top + height <= 1 + 1e-9
    if not (inside and width > 0 and height > 0):
        raise ValueError(f"the box must lie inside the picture, got {left}, {top}, {width}, {height}")
    try:
        with JpegImageFile(BytesIO(jpeg)) as picture:
            wide, tall = picture.size
            within = (left * wide, top * tall, min(left + width, 1) * wide, min(top + height, 1) * tall)
            piece = picture.convert("RGB").resize(sides, box=within)
    except SyntaxError as fault:  # Pillow's word for bytes of another kind
        raise OSError("the stored picture is no JPEG") from fault
    written = BytesIO()
    piece.save(written, kind, quality=quality, optimize=True)
    return written.getvalue()
