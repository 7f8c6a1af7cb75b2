"""Where marks lie on a picture, in its own pixels: the crop round one, and the box and number drawn on it."""

from __future__ import annotations

from collections.abc import Sequence

from registry.models import Mark, Photo

CROP_SHAPE = (4, 3)
CROP_MARGIN = 0.15


def region(mark: Mark, photo: Photo) -> tuple[float, float, float, float]:
    """Left, top, width, height in pixels: the mark with its margin, widened to the box's shape, inside the picture."""
    return crop_round((mark.x, mark.y, mark.w, mark.h), photo)


def crop_round(xywh: Sequence[float], photo: Photo) -> tuple[float, float, float, float]:
    """The same for any region in hundredths of a percent."""
    w, h = xywh[2] * photo.width / 1e4, xywh[3] * photo.height / 1e4
    middle_x, middle_y = xywh[0] * photo.width / 1e4 + w / 2, xywh[1] * photo.height / 1e4 + h / 2
    wide = max(w, h * CROP_SHAPE[0] / CROP_SHAPE[1]) * (1 + 2 * CROP_MARGIN)
    wide = min(wide, photo.width, photo.height * CROP_SHAPE[0] / CROP_SHAPE[1])
    tall = wide * CROP_SHAPE[1] / CROP_SHAPE[0]
    left = min(max(middle_x - wide / 2, 0), photo.width - wide)
    top = min(max(middle_y - tall / 2, 0), photo.height - tall)
    return left, top, wide, tall


def in_pixels(
    line: tuple[tuple[int, int], tuple[int, int]], photo: Photo
) -> tuple[tuple[int, int], tuple[int, int]]:
    """The two ends of a line, given in hundredths of a percent."""
    (ax, ay), (bx, by) = line
    first = round(ax * photo.width / 1e4), round(ay * photo.height / 1e4)
    return first, (round(bx * photo.width / 1e4), round(by * photo.height / 1e4))


def drawn_mark(xywh: Sequence[float], photo: Photo, size: int) -> dict[str, int]:
    """A mark, given in hundredths of a percent, as a box in pixels.

    Its number, `size` pixels high, stands above the box, or inside where there is no room above.
    """
    sides = (photo.width, photo.height) * 2
    x, y, w, h = (round(part * side / 1e4) for part, side in zip(xywh, sides, strict=True))
    return {"x": x, "y": y, "w": w, "h": h, "number_y": y - size // 4 if y > size else y + size}
