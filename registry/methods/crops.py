"""Small pictures of a state, cut from a photograph that is stored already."""

from __future__ import annotations

from io import BytesIO

from PIL.JpegImagePlugin import JpegImageFile

SIDES = (144, 108)  # pixels: a state to choose on a phone, sharp enough to tell a gull from an anchor
MOST_BYTES = 6_000
QUALITIES = (72, 50, 25)


def small_crop(jpeg: bytes, left: float, top: float, width: float, height: float) -> bytes:
    """A JPEG of 144 x 108 pixels, of at most 6,000 bytes wherever a lower quality brings it there.

    Units:  the box is in shares of the picture's width and height, 0 to 1.
    Errors: ValueError where the box is not inside the picture; OSError where the bytes are no JPEG.

    >>> small_crop(b"", 0.5, 0, 0.6, 1)
    Traceback (most recent call last):
    ValueError: the box must lie inside the picture, got 0.5, 0, 0.6, 1
    """
    inside = 0 <= left and 0 <= top and left + width <= 1 + 1e-9 and top + height <= 1 + 1e-9
    if not (inside and width > 0 and height > 0):
        raise ValueError(f"the box must lie inside the picture, got {left}, {top}, {width}, {height}")
    try:
        with JpegImageFile(BytesIO(jpeg)) as picture:
            wide, tall = picture.size
            box = (left * wide, top * tall, min(left + width, 1) * wide, min(top + height, 1) * tall)
            cut = picture.convert("RGB").resize(SIDES, box=box)
    except SyntaxError as fault:  # Pillow's word for bytes of another kind
        raise OSError("the stored picture is no JPEG") from fault
    for quality in QUALITIES:
        written = BytesIO()
        cut.save(written, "JPEG", quality=quality, optimize=True)
        if written.tell() <= MOST_BYTES:
            break
    return written.getvalue()
