"""Lay one picture over another: features, a robust homography, and checks that refuse what does not fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from registry.sentences import Sentence

from .frame import CannotCompare, Floats, Frame, mapped

MOST_FEATURES = 3000
LEAST_FEATURES = 30
LEAST_INLIERS = 16
LEAST_SHARE = 0.25  # of mutual matches
LEAST_SPREAD = 0.004  # of the first picture's area, inside the hull of what fits
RATIO = 0.8  # Lowe D. G. (2004), section 7.1
TOLERANCE = 4.0  # pixels of the frame
MOST_SCALE = 4.0
MOST_LEAN = 0.6  # how much smaller than its neighbour at the far corner a small square may be drawn
LEAST_OVERLAP = 0.25


@dataclass(frozen=True, slots=True)
class Alignment:
    """`matrix`: 3 by 3, from pixels of the second frame to pixels of the first. `inliers` of `matches` fit it."""

    matrix: Floats
    inliers: int
    matches: int


def align(a: Frame, b: Frame) -> Alignment:
    """The homography that lays `b` over `a`.

    Errors: CannotCompare with the reason, where too few features are seen, too few fit, they lie in one spot, or
            the second picture would come out folded, turned inside out, mirrored, tiny or huge.
    Source: SIFT, Lowe D. G. (2004), Int. J. Computer Vision 60(2), 91-110; MAGSAC++, Barath D. et al. (2020), CVPR;
            homographies, Hartley & Zisserman (2004), ch. 4.
    """
    import cv2

    points_a, words_a = _features(a, "a")
    points_b, words_b = _features(b, "b")
    pairs = _mutual(words_a, words_b)
    if len(pairs) < LEAST_INLIERS:
        raise _unlike(len(pairs))
    here, there = points_a[pairs[:, 0]], points_b[pairs[:, 1]]
    cv2.setRNGSeed(1)
    found, mask = cv2.findHomography(there, here, cv2.USAC_MAGSAC, TOLERANCE, maxIters=5000, confidence=0.999)
    if found is None or not np.isfinite(found).all():
        raise _unlike(len(pairs))
    fits = mask.ravel().astype(bool)
    if fits.sum() < LEAST_INLIERS or fits.mean() < LEAST_SHARE:
        raise _unlike(len(pairs), int(fits.sum()))
    matrix = np.asarray(found / found[2, 2], float)
    _check_spread(here[fits], a)
    _check_shape(matrix, a, b)
    return Alignment(matrix, int(fits.sum()), len(pairs))


def _features(frame: Frame, name: str) -> tuple[Any, Any]:
    import cv2

    grey = cv2.cvtColor(frame.pixels, cv2.COLOR_RGB2GRAY)
    seen, words = cv2.SIFT.create(MOST_FEATURES, contrastThreshold=0.02).detectAndCompute(grey, None)
    if words is None or len(seen) < LEAST_FEATURES:
        raise CannotCompare(
            "nothing_to_see",
            Sentence(
                "Picture %(name)s shows too little to hold on to (%(points)s points). "
                "It may be blank, blurred or dark.",
                name=name,
                points=len(seen),
            ),
        )
    words = np.sqrt(
        words / np.maximum(words.sum(axis=1, keepdims=True), 1e-9)
    )  # Arandjelovic & Zisserman (2012)
    return np.array([one.pt for one in seen], np.float32), words.astype(np.float32)


def _mutual(words_a: Any, words_b: Any) -> Any:
    """Pairs (index in a, index in b) that choose each other and are clearly better than the second choice."""
    apart = np.sqrt(np.maximum(2 - 2 * words_a @ words_b.T, 0))  # words have length one
    to_b, to_a = _clear(apart), _clear(apart.T)
    pairs = [(n, m) for n, m in to_b.items() if to_a.get(m) == n]
    return np.array(sorted(pairs), int).reshape(-1, 2)


def _clear(apart: Any) -> dict[int, int]:
    """For each row the nearest column, where the second nearest is clearly farther."""
    two = np.argpartition(apart, 1, axis=1)[:, :2]
    far = np.take_along_axis(apart, two, axis=1)
    nearest = two[np.arange(len(two)), far.argmin(axis=1)]
    sure = far.min(axis=1) < RATIO * far.max(axis=1)
    return {int(n): int(nearest[n]) for n in np.nonzero(sure)[0]}


def _check_spread(fitting: Any, a: Frame) -> None:
    import cv2

    wide, tall = a.size
    if cv2.contourArea(cv2.convexHull(fitting)) < LEAST_SPREAD * wide * tall:
        raise CannotCompare(
            "fits_in_one_spot",
            Sentence(
                "Only one small spot of the two pictures fits. "
                "Show the same side of both items, or choose a region."
            ),
        )


def _check_shape(matrix: Floats, a: Frame, b: Frame) -> None:
    """A picture of the same side taken from about the same place stays a convex, unmirrored, similar quadrilateral."""
    import cv2

    depth = np.c_[b.corners, np.ones(4)] @ matrix[2]
    if (depth <= 1e-6).any():
        raise _bent()
    quad = mapped(matrix, b.corners).astype(np.float32)
    if float(np.linalg.det(matrix)) <= 0:
        raise CannotCompare(
            "mirrored",
            Sentence(
                "The pictures fit only mirrored: one shows the other side, or was flipped. "
                "Say so, or choose another."
            ),
        )
    scales = depth / depth.mean()
    area = cv2.contourArea(quad) / cv2.contourArea(b.corners.astype(np.float32))
    if not cv2.isContourConvex(quad) or not MOST_SCALE**-2 < area < MOST_SCALE**2:
        raise _bent()
    if scales.min() < 1 - MOST_LEAN or scales.max() > 1 + MOST_LEAN:
        raise _bent()
    shared, _ = cv2.intersectConvexConvex(a.corners.astype(np.float32), quad)
    if shared < LEAST_OVERLAP * min(cv2.contourArea(quad), a.size[0] * a.size[1]):
        raise CannotCompare(
            "little_in_common",
            Sentence("The two pictures share too little. Show the same side of both items."),
        )


def _unlike(matches: int, fitting: int = 0) -> CannotCompare:
    return CannotCompare(
        "unlike",
        Sentence(
            "The pictures do not fit: %(fitting)s of %(matches)s points agree. They may show different castings, or "
            "different sides. Show the same side of both items from about the same place.",
            fitting=fitting,
            matches=matches,
        ),
    )


def _bent() -> CannotCompare:
    return CannotCompare(
        "bent",
        Sentence(
            "The pictures fit only by bending one out of shape. Show the same side from about the same place."
        ),
    )
