"""Every way a picture can be refused, by code: what crosses from the process that decodes is a code and its parts."""

from __future__ import annotations

import re
from typing import Any, Final

from registry.sentences import Sentence

REFUSALS: Final = {
    "empty": Sentence("The file is empty. Choose the picture again."),
    "gif": Sentence(
        "This is a GIF; only JPEG, PNG and WebP pictures are taken. Save or export it as JPEG and send that."
    ),
    "pdf": Sentence(
        "This is a PDF document; only JPEG, PNG and WebP pictures are taken. "
        "Save or export it as JPEG and send that."
    ),
    "bmp": Sentence(
        "This is a BMP picture; only JPEG, PNG and WebP pictures are taken. "
        "Save or export it as JPEG and send that."
    ),
    "zip": Sentence(
        "This is a ZIP archive; only JPEG, PNG and WebP pictures are taken. "
        "Save or export it as JPEG and send that."
    ),
    "tiff": Sentence(
        "This is a TIFF picture; only JPEG, PNG and WebP pictures are taken. "
        "Save or export it as JPEG and send that."
    ),
    "markup": Sentence(
        "This is a web page or an SVG drawing; only JPEG, PNG and WebP pictures are taken. "
        "Save or export it as JPEG and send that."
    ),
    "unknown": Sentence(
        "This is no JPEG, PNG or WebP picture, whatever its name says. Save or export it as JPEG and send that."
    ),
    "moving": Sentence("This is a moving picture. Send one still picture."),
    "too_many_parts": Sentence(
        "The file is built of far too many parts. Save or export it as JPEG and send that."
    ),
    "transparent_16_bit": Sentence(
        "This 16-bit PNG marks one colour as transparent. Save or export it as JPEG and send that."
    ),
    "too_much_text": Sentence("This PNG hides far too much text. Save or export it as JPEG and send that."),
    "broken_text": Sentence("A text inside this PNG is broken. Save or export it as JPEG and send that."),
    "damaged": Sentence(
        "The picture is damaged or cut short. Copy it from the camera again, or send another."
    ),
    "for_printing": Sentence(
        "This picture is for printing (CMYK) and does not tell its colours. Save it as sRGB JPEG."
    ),
    "file_too_large": Sentence("The file has %(megabytes)s MB; at most %(most)s are taken. Save it smaller."),
    "far_too_many_pixels": Sentence(
        "The picture has far more than the %(most)s megapixels we take. Save it smaller."
    ),
    "too_many_pixels": Sentence(
        "The picture is %(width)s x %(height)s pixels, %(megapixels)s megapixels; "
        "at most %(most)s are taken. Save it smaller."
    ),
    "too_long": Sentence(
        "The picture is %(width)s x %(height)s pixels; neither side may pass %(most)s. Crop it."
    ),
    "heic": Sentence(
        "This is a HEIC picture, as some phones save them. Set the phone to share as JPEG; send that."
    ),
    "heic_colours": Sentence(
        "This HEIC picture tells its colours in a way we do not read. "
        "Save or export it as JPEG and send that."
    ),
}
_NUMBER = re.compile(r"[0-9.,e+]{1,20}")


class PictureRefused(ValueError):
    """The picture cannot be taken. The message says why and what to do about it."""

    def __init__(self, code: str, **numbers: str) -> None:
        super().__init__(Sentence(REFUSALS[code], **numbers))
        self.code, self.numbers = code, numbers

    def told(self) -> list[Any]:
        """As JSON has it; `heard` makes it whole again."""
        return [self.code, self.numbers]

    @classmethod
    def heard(cls, told: object) -> PictureRefused:
        """The refusal that the other process told, believed only where we could have said it ourselves.

        Errors: ValueError where it is none of ours, lacks a number, or holds anything else.
        """
        match told:
            case [str(code), dict(numbers)] if code in REFUSALS:
                asked = set(re.findall(r"%\((\w+)\)s", REFUSALS[code]))
                fit = all(isinstance(one, str) and _NUMBER.fullmatch(one) for one in numbers.values())
                if set(numbers) == asked and fit:
                    return cls(code, **numbers)
        raise ValueError("no refusal of ours")
