"""A length on a photograph, by two points on it, against two other points a known length apart; with its uncertainty.

Points are pixels of the whole picture, lengths micrometres. The numbers marked "chosen" are ours: no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, hypot, isfinite, radians, sin, sqrt
from typing import Literal

Point = tuple[float, float]
Segment = tuple[Point, Point]
Caveat = Literal["slanted", "not_parallel", "other_plane", "far_apart"]

COVERAGE = 2
"""Errors are given as two standard uncertainties: about 95 of 100 lie within (JCGM 100:2008, 6.3.3)."""
SQUARE_TILT, SLANTED_TILT = radians(15), radians(45)
"""How far the pictured side may be turned from the camera where the picture is called square on, and where not.
Chosen."""
NEAREST_UM = 120_000
"""From how near such a picture is taken at the nearest, unless said. Chosen: phones still focus there."""
OTHER_PLANE_UM = 15_000
"""How much nearer to the camera one line may be than the other where they are not on one side. Chosen: half the
width of a small-scale vehicle."""
PARALLEL_WITHIN = 10.0
"""Degrees up to which two lines are called about parallel. Chosen."""
WHEELBASE_PLAY_UM, RULER_PLAY_UM = 200, 100
"""Half-widths of what is known of the reference: play of an axle in its holes; a ruler's lines. Chosen."""
SHORTEST = 3
"""A line of fewer pointing errors than this says nothing."""


@dataclass(frozen=True, slots=True)
class Reading:
    """`length_um` ± `error_um` (two standard uncertainties); `ratio` to the reference; `angle` between the lines, 0 to
    90 degrees; `caveats` name what adds to the error."""

    length_um: int
    error_um: int
    ratio: float
    angle: float
    caveats: tuple[Caveat, ...] = ()


def measure(
    reference: Segment,
    known_um: int,
    measured: Segment,
    *,
    pointing_px: float,
    known_play_um: float = 0,
    is_slanted: bool = False,
    same_plane: bool = True,
    distance_um: int = NEAREST_UM,
) -> Reading:
    """How long the measured line is, given that the reference is `known_um` long.

    Units:  points in pixels; `pointing_px` is the standard error of each coordinate of each point, above 0;
            `known_play_um` the half-width of the reference's own error; `is_slanted` where the camera did not look
            square on at the side that both lines lie on; `same_plane` where they do lie on one side;
            `distance_um` from the camera to the vehicle, as near as such pictures are taken where it is left out.
    Errors: ValueError where a line is shorter than three pointing errors, or a number is out of its range.
    Source: JCGM 100:2008 (GUM), 5.1.2 for the law of propagation, 5.1.6 for a product of powers, 4.3.7 for allowances
            known only by their half-width. Allowances for tilt and depth: a pinhole camera, see `tilt_allowance`.

    >>> measure(((0, 0), (360, 0)), 36_000, ((160, 9), (200, 9)), pointing_px=1)
    Reading(length_um=4000, error_um=286, ratio=0.1111111111111111, angle=0.0, caveats=())
    """
    if not known_um > 0 or known_play_um < 0:
        raise ValueError(
            f"the known length must be above 0 and its error at least 0, got {known_um}, {known_play_um}"
        )
    if not (isfinite(pointing_px) and pointing_px > 0):
        raise ValueError(f"the pointing error must be above 0 pixels, got {pointing_px}")
    if not distance_um > 0:
        raise ValueError(f"the distance must be above 0, got {distance_um}")
    base, span = (_pixels(line, pointing_px) for line in (reference, measured))
    ratio = span / base
    tilt = SLANTED_TILT if is_slanted else SQUARE_TILT
    angle = angle_between(reference, measured)
    apart_um = known_um * _midpoints_apart(reference, measured) / base
    allowances = [
        known_play_um / known_um,
        tilt_allowance(radians(angle), tilt),
        depth_allowance(apart_um, tilt, distance_um),
        0 if same_plane else OTHER_PLANE_UM / distance_um,
    ]
    relative = 2 * pointing_px**2 * (1 / base**2 + 1 / span**2) + sum(a**2 for a in allowances) / 3
    length = known_um * ratio
    caveats: list[Caveat] = ["slanted"] if is_slanted else []
    caveats += ["not_parallel"] if angle > PARALLEL_WITHIN else []
    caveats += [] if same_plane else ["other_plane"]
    caveats += ["far_apart"] if apart_um > known_um else []
    error = max(1, ceil(COVERAGE * length * sqrt(relative)))
    return Reading(max(1, round(length)), error, ratio, round(angle, 1), tuple(caveats))


def tilt_allowance(angle: float, tilt: float) -> float:
    """By which part two lines of one plane, `angle` apart, may be shortened differently where it is turned by `tilt`.

    A line at angle a to the axis that the plane is turned about is shortened to sqrt(cos(a)**2 + (sin(a)cos(tilt))**2)
    of itself; this bounds the ratio of two such, whatever the axis. Parallel lines are shortened alike: 0. Radians;
    `angle` is as it looks on the picture.
    """
    real = atan2(
        sin(angle), cos(angle) * cos(tilt)
    )  # a turned plane makes angles look as much smaller as this
    return (1 / cos(tilt) - 1) * sin(real)


def depth_allowance(apart_um: float, tilt: float, distance_um: float) -> float:
    """By which part the scale may differ between the middles of two lines of one plane that is turned by `tilt`.

    What is farther away is smaller by its distance, and once more so along the direction that it recedes in.
    """
    return 2 * apart_um * sin(tilt) / distance_um


def angle_between(first: Segment, second: Segment) -> float:
    """Degrees from 0 to 90 between two lines, whichever way each was drawn."""
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    turned = degrees(atan2(by - ay, bx - ax) - atan2(dy - cy, dx - cx)) % 180
    return min(turned, 180 - turned)


def fits(length_um: int, error_um: int, number: int, tolerance: int = 0) -> bool:
    """Whether a state of that number may be what was measured: it fits unless the measure proves that it does not.

    Source: ISO 14253-1 (from memory): outside is proved only beyond the tolerance widened by the uncertainty.
    """
    return abs(length_um - number) <= tolerance + error_um


def full_size_um(length_um: int, scale: int) -> int:
    """The same length on the full-size vehicle, taking the line's 1:`scale` at its word."""
    return length_um * scale


def in_words(length_um: int) -> str:
    """`4 mm`, `36.25 mm`, `0.08 mm`; from 100 mm on without decimals, from a metre on in metres.

    >>> in_words(36_250), in_words(-80), in_words(255_744), in_words(2_304_000)
    ('36.25 mm', '-0.08 mm', '256 mm', '2.3 m')
    """
    if abs(length_um) >= 1_000_000:
        return f"{length_um / 1_000_000:.2f}".rstrip("0").rstrip(".") + " m"
    if abs(length_um) >= 100_000:
        return f"{length_um / 1000:.0f} mm"
    return f"{length_um / 1000:.2f}".rstrip("0").rstrip(".") + " mm"


def with_error(length_um: int, error_um: int) -> str:
    """No more digits than the error leaves meaning to.

    Source: JCGM 100:2008, 7.2.6: two digits of the error at most; the length to the same place.

    >>> with_error(3_912, 290), with_error(14_428, 2_984), with_error(3_912, 63), with_error(45_000, 12_300)
    ('3.9 ± 0.3 mm', '14.4 ± 3.0 mm', '3.91 ± 0.06 mm', '45 ± 12 mm')
    """
    places = 0 if error_um >= 10_000 else 1 if error_um >= 100 else 2
    return f"{length_um / 1000:.{places}f} ± {error_um / 1000:.{places}f} mm"


def default_pointing(width: int, height: int) -> int:
    """How exactly one points where one does not say: a 400th of the longer side, 2 pixels at least. Chosen."""
    return max(2, ceil(max(width, height) / 400))


def on_picture(place: tuple[int, int], width: int, height: int) -> Point:
    """Hundredths of a percent of the picture as pixels."""
    return place[0] * width / 10_000, place[1] * height / 10_000


def _pixels(line: Segment, pointing_px: float) -> float:
    (ax, ay), (bx, by) = line
    length = hypot(bx - ax, by - ay)
    if not (isfinite(length) and length >= SHORTEST * pointing_px):
        least = SHORTEST * pointing_px
        raise ValueError(f"the two points must be at least {least:g} pixels apart, got {length:.1f}")
    return length


def _midpoints_apart(first: Segment, second: Segment) -> float:
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    return hypot((ax + bx - cx - dx) / 2, (ay + by - cy - dy) / 2)
