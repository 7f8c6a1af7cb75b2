"""`python -m benchmarks.photos_hashes [--hashes 1000000] [--asked 40]`: near hashes by the index against a plain scan.
`python -m benchmarks.photos_hashes --crops` measures instead how many crops of fixtures/pictures are met.

The hashes are random, with half of their bits set as a median cuts them and the slowest wave always set. Every answer
of the index is compared with that of the scan before anything is timed.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable
from statistics import median
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .site import empty_site

PER_PHOTO = 10_000
BITS = 64
Hashes = NDArray[np.uint64]


def random_hashes(count: int, seed: int) -> Hashes:
    """Half of the bits set, the highest among them."""
    draw = np.random.default_rng(seed)
    parts = []
    for start in range(0, count, 50_000):
        waves = draw.standard_normal((min(50_000, count - start), BITS), dtype=np.float32)
        waves[:, 0] = 100
        bits = waves > np.median(waves, axis=1, keepdims=True)
        parts.append(np.packbits(bits, axis=1).view(">u8").ravel().astype(np.uint64))
    return np.concatenate(parts)


def asked_for(kept: Hashes, count: int) -> list[tuple[int, ...]]:
    """The eight hashes of each picture asked about; of every second one a turn is 0 to 8 bits from one kept."""
    draw = np.random.default_rng(5)
    turned = random_hashes(8 * count, 6).reshape(count, 8)
    for n in range(0, count, 2):
        flips = draw.choice(BITS, size=draw.integers(0, 9), replace=False)
        near = int(draw.choice(kept))
        for bit in flips:
            near ^= 1 << int(bit)
        turned[n, draw.integers(0, 8)] = near
    return [tuple(int(one) for one in row) for row in turned]


COPY = "COPY registry_photohash (photo_id, tile, bits, first, second, third) FROM STDIN"
INSERT = 'INSERT INTO registry_photohash (photo_id, tile, bits, "first", second, third) VALUES (%s, %s, %s, %s, %s, %s)'


def fill(kept: Hashes) -> None:
    """The rows that intake would write, in bulk; so many to a photo that few photos are needed."""
    from django.db import connection, transaction

    from registry.methods.photo_hash import BAND_BITS
    from tests.factories import PhotoFactory

    _, middle, low = BAND_BITS
    parts = [kept >> (middle + low), (kept >> low) & ((1 << middle) - 1), kept & ((1 << low) - 1)]
    bands = np.column_stack([part.astype(np.int64) for part in (kept.view(np.int64), *parts)])
    with transaction.atomic(), connection.cursor() as cursor:
        for start in range(0, len(kept), PER_PHOTO):
            photo = PhotoFactory().pk
            rows = [(photo, tile, *row) for tile, row in enumerate(bands[start : start + PER_PHOTO].tolist())]
            if connection.vendor == "postgresql":
                with cursor.copy(COPY) as copy:
                    for row in rows:
                        copy.write_row(row)
            else:
                cursor.executemany(INSERT, rows)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE registry_photohash")


def scan(kept: Hashes, turned: tuple[int, ...]) -> list[int]:
    """Places of the hashes within eight bits of any of the eight, by looking at every one."""
    least = np.full(len(kept), BITS, dtype=np.uint8)
    for one in turned:
        np.minimum(least, np.bitwise_count(kept ^ np.uint64(one)), out=least)
    return np.flatnonzero(least <= 8).tolist()  # type: ignore[no-any-return]


def timed(do: Callable[[], Any], results: list[float], times: int = 1) -> Any:
    """What it answers; the shortest of its times, in milliseconds, joins the results."""
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        found = do()
        took.append(1e3 * (time.perf_counter() - begun))
    results.append(min(took))
    return found


def size_of_table() -> float:
    """Megabytes of the table with its indexes."""
    from django.db import connection

    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_total_relation_size('registry_photohash')")
        else:
            cursor.execute("SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()")
        return float(cursor.fetchone()[0]) / 1e6


def read_all() -> Hashes:
    from registry.models import PhotoHash

    rows = PhotoHash.objects.order_by("pk").values_list("bits", flat=True).iterator(20_000)
    return np.fromiter(rows, dtype=np.int64).view(np.uint64)


def measure(count: int, asked: int) -> None:
    from django.db import connection

    from registry.actions.likenesses import near
    from registry.methods.photo_hash import PhotoHashes
    from registry.models import PhotoHash

    kept = random_hashes(count, 4)
    built: list[float] = []
    timed(lambda: fill(kept), built)
    first_photo = PhotoHash.objects.order_by("pk").values_list("photo_id", flat=True)[0]
    by_index: list[float] = []
    by_scan: list[float] = []
    found = 0
    for turned in asked_for(kept, asked):
        met = timed(lambda turned=turned: near(PhotoHashes(turned, ())), by_index, 3)
        places = {(photo - first_photo) * PER_PHOTO + tile for photo, tile, _ in met}
        assert places == set(timed(lambda turned=turned: scan(kept, turned), by_scan, 3))
        found += len(places)
    reading: list[float] = []
    assert (timed(read_all, reading, 2) == kept).all()
    print(
        f"{connection.vendor}, {count:,} hashes, {asked} pictures asked about, {found} near ones, all met by both"
    )
    print(f"  filled in {built[0] / 1e3:.0f} s; table and indexes {size_of_table():.0f} MB")
    print(f"  index {median(by_index):.1f} ms (longest {max(by_index):.1f})")
    print(f"  scan of an array in memory {median(by_scan):.1f} ms, {kept.nbytes / 1e6:.0f} MB of it")
    print(f"  the same, read first {(reading[0] + median(by_scan)):.0f} ms")
    print(f"  ratio {(reading[0] + median(by_scan)) / median(by_index):.0f}, in memory "
          f"{median(by_scan) / median(by_index):.2f}")  # fmt: skip
    print(f"  most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.0f} MB")


Box = tuple[float, float, float, float]


def crops(draw: np.random.Generator) -> dict[str, Box]:
    """Ways to cut a picture, as shares of width and height: left, top, right, bottom."""
    x, y, u, v = draw.random(4)
    small = 0.85**0.5
    left, top = 0.15 * draw.random(2)
    right, bottom = (0.15 - left) * u, (0.15 - top) * v
    side: Box = ((0.15, 0, 1, 1), (0, 0.15, 1, 1), (0, 0, 0.85, 1), (0, 0, 1, 0.85))[draw.integers(4)]  # type: ignore[assignment]
    return {
        "15 % of each side, about the middle": (0.075, 0.075, 0.925, 0.925),
        "15 % off one side": side,
        "15 % of each side, anywhere": (0.15 * x, 0.15 * y, 0.15 * x + 0.85, 0.15 * y + 0.85),
        "15 % of the area, anywhere": (
            (1 - small) * x,
            (1 - small) * y,
            (1 - small) * x + small,
            (1 - small) * y + small,
        ),
        "up to 15 % of each side, any margins": (left, top, 1 - right, 1 - bottom),
    }


def measure_crops() -> None:
    """Of every picture each crop once, saved at quality 60: how many are near the whole picture or a tile of it."""
    from io import BytesIO
    from pathlib import Path

    from PIL import Image

    from registry.methods.photo_hash import NEAR, hashes_of, least_distances

    def saved(picture: Image.Image) -> bytes:
        written = BytesIO()
        picture.save(written, "JPEG", quality=60)
        return written.getvalue()

    draw = np.random.default_rng(7)
    met: dict[str, list[tuple[bool, bool]]] = {}
    for file in sorted((Path(__file__).parents[1] / "fixtures" / "pictures").glob("*.jpg")):
        with Image.open(file) as opened:
            opened.draft("RGB", (600, 400))
            picture = opened.convert("RGB").resize((320, 320 * opened.height // opened.width))
        known = hashes_of(saved(picture))
        assert known is not None
        for name, box in crops(draw).items():
            w, h = picture.size
            cut = hashes_of(
                saved(
                    picture.crop((round(box[0] * w), round(box[1] * h), round(box[2] * w), round(box[3] * h)))
                )
            )
            assert cut is not None
            away = least_distances([known.whole, *known.tiles], cut.turned)
            met.setdefault(name, []).append((bool(away[0] <= NEAR), bool(away.min() <= NEAR)))
    for name, found in met.items():
        whole, any_tile = (100 * sum(column) / len(found) for column in zip(*found, strict=True))
        print(f"{name}: {any_tile:.0f} % of {len(found)} met, {whole:.0f} % without tiles")


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--hashes", type=int, default=1_000_000)
    parser.add_argument("--asked", type=int, default=40)
    parser.add_argument("--crops", action="store_true", help="Measure how many crops are met.")
    options = parser.parse_args()
    if options.crops:
        measure_crops()
    else:
        with empty_site():
            measure(options.hashes, options.asked)
