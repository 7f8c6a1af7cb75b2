"""Pictures in HEIC, as some phones save them: read only where the extra `heic` is installed."""

from collections.abc import Callable
from io import BytesIO

from PIL.ImageFile import ImageFile

from registry.methods.photo_refusals import PictureRefused

# Source: ITU-T H.273 tables 2 and 3, from memory: 1 is BT.709, whose primaries are those of sRGB; 2 is unspecified;
# 6 is BT.601, 13 is sRGB, 14 and 15 are BT.2020 for 10 and 12 bits.
_PLAIN_PRIMARIES = (1, 2)
_PLAIN_TRANSFER = (1, 2, 6, 13, 14, 15)


def heic_reader() -> Callable[[BytesIO], ImageFile] | None:
    """What opens HEIC, or None where the extra is not installed."""
    try:
        from pillow_heif import options
        from pillow_heif.as_plugin import HeifImageFile
    except ImportError:
        return None
    options.DECODE_THREADS = 1
    # Hidden previews, depth maps and what else a phone adds are not even looked at.
    options.THUMBNAILS = options.DEPTH_IMAGES = options.AUX_IMAGES = False
    reader: Callable[[BytesIO], ImageFile] = HeifImageFile
    return reader


def heic_opened(data: bytes) -> ImageFile:
    """The picture with its header read; it is upright once decoded, whatever its notes say.

    Errors: PictureRefused where HEIC is not read here, or the colours are none we would get right.
    """
    reader = heic_reader()
    if reader is None:
        raise PictureRefused("heic")
    opened = reader(BytesIO(data))
    colours = opened.info.get("nclx_profile")
    if colours and not opened.info.get("icc_profile"):
        primaries, transfer = int(colours["color_primaries"]), int(colours["transfer_characteristics"])
        if primaries not in _PLAIN_PRIMARIES or transfer not in _PLAIN_TRANSFER:
            raise PictureRefused("heic_colours")
    return opened
