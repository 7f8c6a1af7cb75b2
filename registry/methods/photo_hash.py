"""Which pictures look alike: 64-bit perceptual hashes, and how near ones are found by three indexed look-ups.

A hash says which of the 64 slowest waves of a small grey copy of the picture are stronger than their median. Saving
the picture smaller or coarser moves few bits; another picture differs in about half of them. It proves nothing: packs
on a peg look alike, and whoever wants to can move more bits than NEAR.

Looking up. A hash is cut into three bands of 22, 21 and 21 bits. Two hashes within 8 bits of each other are within
two bits in at least one band, since three bands that each differ in three or more differ in nine or more together.
So it is exact to look up, for each band, the values within two bits: every hash that near is met, and each one met is
then measured (multi-index hashing: Norouzi, Punjani and Fleet 2012). Approximate is what is hashed: turned and
mirrored pictures are made from the waves and not from the picture, and of crops only those near one of TILES are
met, upright or mirrored; a picture that holds an earlier crop of itself is not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from PIL import Image

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NEAR = 8
"""Hashes that differ in no more bits belong to pictures that look alike."""
BAND_BITS = (22, 21, 21)
_SIDE, _WAVES = 32, 8
_FLAT = 256.0
"""Median wave of a picture of nothing, in the units of scipy's plain DCT of 32 x 32 levels: ripples of four levels of
255. Measured: 2,300 at least on the pictures in fixtures, 30 at most on paper, a wall and a dark room. Chosen here."""
_KEPT = 0.85  # of each side, by a crop of 15 %
_NARROW = 0.92  # of each side, by a crop of 15 % of the area

Window = tuple[float, float, float, float]


def _windows() -> tuple[Window, ...]:
    """What crops leave, as shares of width and height: left, top, right, bottom."""
    places = [(x, y, _KEPT) for x in (0, 0.5, 1) for y in (0, 0.5, 1)]
    places += [(x, y, _NARROW) for x in (0, 1) for y in (0, 1)]
    boxes = [(x * (1 - s), y * (1 - s), x * (1 - s) + s, y * (1 - s) + s) for x, y, s in places]
    cut = 1 - _KEPT
    return (*boxes, (cut, 0, 1, 1), (0, 0, _KEPT, 1), (0, cut, 1, 1), (0, 0, 1, _KEPT))


TILES = _windows()
"""17 windows: nine and four over the picture, and one with each side cut by 15 %."""
OF_TILE = 1 << max(BAND_BITS)
"""Added to the bands of a tile, so that whole pictures and tiles are looked up in one index but never mixed."""


@dataclass(frozen=True, slots=True)
class PhotoHashes:
    """`turned`: of the whole picture as it is, mirrored, and both turned by quarters, eight in all, itself first.
    `tiles`: of the windows in the order of TILES."""

    turned: tuple[int, ...]
    tiles: tuple[int, ...]

    @property
    def whole(self) -> int:
        return self.turned[0]


def hashes_of(jpeg: bytes) -> PhotoHashes | None:
    """The hashes of a picture that is safe to decode, such as a thumbnail; None for a picture of nothing.

    Paper, a wall or a dark room would be like every other one, so they are like none.
    Shapes: eight hashes of the whole, 17 of tiles, each of 64 bits without sign.
    """
    import numpy as np

    with Image.open(BytesIO(jpeg)) as opened:
        grey = opened.convert("L")
    waves = slow_waves(grey)
    if float(np.median(np.abs(waves.ravel()[1:]))) < _FLAT:
        return None
    width, height = grey.size
    tiles = (
        slow_waves(grey, (left * width, top * height, right * width, bottom * height))
        for left, top, right, bottom in TILES
    )
    return PhotoHashes(tuple(map(_hash, _turned(waves))), tuple(map(_hash, tiles)))


def picture_hash(picture: Image.Image) -> int:
    """The hash of a picture: 64 bits, the slowest wave in the highest.

    Source: the DCT hash as in the imagehash library, `phash`, whose bits it equals.
    """
    return _hash(slow_waves(picture))


def slow_waves(picture: Image.Image, box: Window | None = None) -> "NDArray[np.float64]":
    """DCT-II without norm of the picture, or of a window in pixels, as 32 x 32 grey levels: the first 8 x 8."""
    import numpy as np
    from scipy.fft import dctn

    small = picture.convert("L").resize((_SIDE, _SIDE), Image.Resampling.LANCZOS, box=box)
    waves: Any = dctn(np.asarray(small, dtype=np.float64), type=2)
    return waves[:_WAVES, :_WAVES]  # type: ignore[no-any-return]


def _turned(waves: "NDArray[np.float64]") -> "list[NDArray[np.float64]]":
    """Mirroring turns the sign of every other wave, a turn about the diagonal swaps across and down."""
    import numpy as np

    signs = (-1.0) ** np.arange(_WAVES)
    across, down = signs[None, :], signs[:, None]
    four = [waves, waves * across, waves * down, waves * across * down]
    return four + [one.T for one in four]


def _hash(waves: "NDArray[np.float64]") -> int:
    import numpy as np

    return int.from_bytes(np.packbits(waves > np.median(waves)).tobytes(), "big")


def distance(one: int, other: int) -> int:
    """In how many bits two hashes differ.

    >>> distance(0b1011, 0b0001)
    2
    """
    return (one ^ other).bit_count()


def least_distances(rows: Sequence[int], asked: Sequence[int]) -> "NDArray[np.uint8]":
    """From each row the distance to the nearest of the hashes asked for. Shapes: rows (n,), asked (k,); gives (n,).

    Hashes may be given with or without sign.
    """
    import numpy as np

    kept = np.array([row & _ALL for row in rows], dtype=np.uint64)
    sought = np.array([one & _ALL for one in asked], dtype=np.uint64)
    return np.bitwise_count(kept[:, None] ^ sought[None, :]).min(axis=1)  # type: ignore[no-any-return]


_ALL = (1 << 64) - 1


def signed(bits: int) -> int:
    """The hash as databases keep 64 bits.

    >>> signed(2**64 - 1), signed(5)
    (-1, 5)
    """
    return bits - (1 << 64) if bits >> 63 else bits


def bands(bits: int, of_tile: bool = False) -> tuple[int, int, int]:
    """The three bands, highest first, as they are kept and looked up."""
    _, middle, low = BAND_BITS
    cut = (bits >> (middle + low), (bits >> low) & ((1 << middle) - 1), bits & ((1 << low) - 1))
    first, second, third = (band + OF_TILE if of_tile else band for band in cut)
    return first, second, third


def looked_up(hashes: PhotoHashes) -> tuple[list[int], list[int], list[int]]:
    """For each band the values to look up: near all eight turns of a whole picture, and near tiles either way round.

    At most 2,540 values a band.
    """
    whole = [bands(one) for one in hashes.turned]
    of_tiles = [bands(one, of_tile=True) for one in hashes.turned[:2]]
    by_band = zip(*whole, *of_tiles, strict=True)
    first, second, third = (_near(cut, width) for cut, width in zip(by_band, BAND_BITS, strict=True))
    return first, second, third


def _near(values: Iterable[int], width: int) -> list[int]:
    return sorted({value ^ mask for value in values for mask in _masks(width)})


@lru_cache(maxsize=len(BAND_BITS))
def _masks(width: int) -> tuple[int, ...]:
    """What changes at most two of so many bits."""
    single = [1 << bit for bit in range(width)]
    return (0, *single, *(a | b for at, a in enumerate(single) for b in single[:at]))
