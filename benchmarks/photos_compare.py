"""Compare pairs of the scenario's pictures whose differences are known, and print how well that went.

    python -m benchmarks.photos_compare                      # precision, recall, refusals
    python -m benchmarks.photos_compare --sheet .castlore/compared   # also contact sheets, to look at
    python -m benchmarks.photos_compare --against            # time and memory beside scikit-image (requirements-oracle)

What differs is told by fixtures/scenario/variants.yaml (states) and fixtures/pictures/truth.json (where each trait
shows); pairs are taken of one release and one view. What one picture alone shows, or truth has no box for, is no
difference here.
"""

from __future__ import annotations

import argparse
import itertools
import json
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import yaml

from registry.methods.compare import CannotCompare, compare

FIXTURES = Path(__file__).parents[1] / "fixtures"
TRUTH = json.loads((FIXTURES / "pictures" / "truth.json").read_text())["pictures"]
STATES = {
    variant["key"]: variant["states"]
    for variants in yaml.safe_load((FIXTURES / "scenario" / "variants.yaml").read_text()).values()
    if isinstance(variants, list)
    for variant in variants
}
Box = tuple[float, float, float, float]


def picture(name: str) -> Any:
    return cv2.cvtColor(cv2.imread(str(FIXTURES / "pictures" / name)), cv2.COLOR_BGR2RGB)


def view(name: str) -> str:
    return "_".join(name.removesuffix(".jpg").split("_")[3:])


def pairs() -> list[tuple[str, str, Box | None, Box | None]]:
    """Pictures of one release and view, a picture each; then both examples of each picture that shows two."""
    single = sorted(name for name, told in TRUTH.items() if len(told["examples"]) == 1)
    apart = [
        (a, b, None, None)
        for a, b in itertools.combinations(single, 2)
        if a.split("_")[0] == b.split("_")[0] and view(a) == view(b)
    ]
    both = []
    for name, told in sorted(TRUTH.items()):
        if len(told["examples"]) == 2:
            first, second = (around(example["traits"].values()) for example in told["examples"].values())
            both.append((name, name, first, second))
    return apart + both


def strangers() -> list[tuple[str, str]]:
    """One pair of each two castings, of one view, where there is one: none of them may be laid over the other."""
    found: dict[tuple[str, str], tuple[str, str]] = {}
    for a, b in itertools.combinations(sorted(TRUTH), 2):
        castings = a[:2], b[:2]
        if castings[0] != castings[1] and view(a) == view(b) and "pair" not in a:
            found.setdefault(castings, (a, b))
    return sorted(found.values())


def around(traits: Any) -> Box:
    boxes = np.array([trait["box"] for trait in traits])
    low = np.maximum(boxes[:, :2].min(axis=0) - 1, 0)
    high = np.minimum((boxes[:, :2] + boxes[:, 2:]).max(axis=0) + 1, 100)
    return (*map(float, low), *map(float, high - low))  # type: ignore[return-value]


def known(a: str, b: str) -> dict[str, tuple[Box, Box]]:
    """By trait that differs and shows in both: where."""
    here, there = list(TRUTH[a]["examples"].values())[0], list(TRUTH[b]["examples"].values())[-1]
    states = STATES[here["variant"]], STATES[there["variant"]]
    return {
        trait: (tuple(here["traits"][trait]["box"]), tuple(there["traits"][trait]["box"]))
        for trait in here["traits"].keys() & there["traits"].keys()
        if states[0].get(trait) != states[1].get(trait)
    }


def shared(one: Box, other: Box) -> float:
    wide = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    tall = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return max(wide, 0) * max(tall, 0)


def hits(region: Any, boxes: tuple[Box, Box]) -> bool:
    """In either picture half of the region lies on the trait, or the region holds half of the trait, tightly."""
    for found, box in zip((region.a, region.b), boxes, strict=True):
        area, trait = found[2] * found[3], box[2] * box[3]
        common = shared(found, (box[0] - 1, box[1] - 1, box[2] + 2, box[3] + 2))
        if common >= 0.5 * area or (common >= 0.5 * trait and area <= 4 * trait):
            return True
    return False


def measure(sheet: Path | None, every: int) -> None:
    counts: dict[str, list[int]] = {}
    tiles: list[Any] = []
    for a, b, region_a, region_b in pairs()[::every]:
        kind = "both in one picture" if region_a else "sealed" if "pack" in a else "loose"
        count = counts.setdefault(kind, [0] * 6)
        wanted = known(a, b)
        began = time.process_time()
        try:
            found = compare(picture(a), picture(b), region_a, region_b)
        except CannotCompare as refusal:
            count[1] += 1
            print(f"{a} {b}: {refusal.code}")
            continue
        count[0] += 1
        right = [region for region in found.differences if any(hits(region, box) for box in wanted.values())]
        seen = [trait for trait, box in wanted.items() if any(hits(one, box) for one in found.differences)]
        for n, more in enumerate((len(right), len(found.differences), len(seen), len(wanted)), 2):
            count[n] += more
        missed = sorted(wanted.keys() - seen)
        print(
            f"{a} {b}: {len(right)} of {len(found.differences)} regions, {len(seen)} of {len(wanted)} traits"
            f"{', missed ' + ', '.join(missed) if missed else ''} ({time.process_time() - began:.2f} s)",
            flush=True,
        )
        if sheet:
            tiles.append(tile(a, b, found, right))
    refused = []
    for a, b in strangers()[::every]:
        try:
            compare(picture(a), picture(b))
            refused.append(False)
            print(f"{a} {b}: NOT refused")
        except CannotCompare:
            refused.append(True)
    print("kind: laid over, refused; precision; recall")
    for kind, (laid, not_laid, right_, listed, seen_, wanted_) in counts.items():
        print(f"{kind}: {laid}, {not_laid}; {right_} of {listed}; {seen_} of {wanted_}")
    print(f"pairs of different castings refused: {sum(refused)} of {len(refused)}")
    if sheet:
        contact(sheet, tiles)


def tile(a: str, b: str, found: Any, right: list[Any]) -> Any:
    """Both pictures side by side, regions outlined: green where a known difference lies, red elsewhere."""
    sides = []
    for name, side in ((a, "a"), (b, "b")):
        small = cv2.resize(picture(name), (360, 240), interpolation=cv2.INTER_AREA)
        for region in found.differences:
            x, y, w, h = getattr(region, side)
            corners = (int(x * 3.6), int(y * 2.4)), (int((x + w) * 3.6), int((y + h) * 2.4))
            cv2.rectangle(small, *corners, (0, 160, 0) if region in right else (220, 0, 0), 1)
        sides.append(small)
    made = np.hstack(sides)
    cv2.putText(made, f"{a[:12]} {b[:12]}", (4, 234), cv2.FONT_HERSHEY_SIMPLEX, 0.4, (120, 0, 120), 1)
    return made


def contact(folder: Path, tiles: list[Any]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for n in range(0, len(tiles), 24):
        page = tiles[n : n + 24]
        page += [np.full_like(tiles[0], 255)] * (-len(page) % 3)
        rows = [np.hstack(page[at : at + 3]) for at in range(0, len(page), 3)]
        cv2.imwrite(str(folder / f"sheet_{n // 24}.png"), cv2.cvtColor(np.vstack(rows), cv2.COLOR_RGB2BGR))


def ours(a: Any, b: Any) -> None:
    compare(a, b)


def theirs(a: Any, b: Any) -> None:
    """ORB, RANSAC and a structural similarity map by scikit-image, on pictures of the same size."""
    from skimage.color import rgb2gray
    from skimage.feature import ORB, match_descriptors
    from skimage.measure import ransac
    from skimage.metrics import structural_similarity
    from skimage.transform import ProjectiveTransform, resize, warp

    first, second = (rgb2gray(resize(one, (667, 1000), anti_aliasing=True)) for one in (a, b))
    seen = []
    for one in (first, second):
        orb = ORB(n_keypoints=2000)
        orb.detect_and_extract(one)
        seen.append((orb.keypoints, orb.descriptors))
    matched = match_descriptors(seen[0][1], seen[1][1], cross_check=True, max_ratio=0.8)
    here, there = seen[0][0][matched[:, 0]][:, ::-1], seen[1][0][matched[:, 1]][:, ::-1]
    model, _ = ransac(
        (here, there), ProjectiveTransform, min_samples=4, residual_threshold=3, max_trials=1000
    )
    structural_similarity(first, warp(second, model), data_range=1.0, gaussian_weights=True, full=True)


def against() -> None:
    """Each side in a process of its own, so that its peak of memory is its own."""
    for side in ("ours", "theirs", "nothing"):
        done = subprocess.run(  # noqa: S603  (ourselves)
            [sys.executable, "-m", "benchmarks.photos_compare", "--side", side],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        print(done.stdout.strip())


def one_side(side: str) -> None:
    chosen = [pair for pair in pairs() if not pair[2]][::6]
    spent = []
    for a, b, _, _ in chosen:
        first, second = picture(a), picture(b)
        began = time.process_time()
        if side != "nothing":
            {"ours": ours, "theirs": theirs}[side](first, second)
        spent.append(time.process_time() - began)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{side}: {len(chosen)} pairs, median {np.median(spent):.2f} s of processor time, peak {peak:.0f} MB"
    )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--sheet", type=Path, help="folder for contact sheets")
    asked.add_argument("--every", type=int, default=1, help="only every nth pair")
    asked.add_argument("--against", action="store_true", help="time and memory beside scikit-image")
    asked.add_argument("--side", choices=("ours", "theirs", "nothing"), help=argparse.SUPPRESS)
    said = asked.parse_args()
    if said.side:
        one_side(said.side)
    elif said.against:
        against()
    else:
        measure(said.sheet, said.every)


if __name__ == "__main__":
    main()
