"""Find the chart, calibrate and measure in rendered pictures that hold one: `python -m benchmarks.photos_calibrate`.

CIEDE2000 and CIELAB over the same pixels beside scikit-image and colour-science. Needs requirements-oracle.txt.
"""

import json
import warnings
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import process_time
from timeit import repeat

import numpy as np
from PIL import Image

from registry.methods.colour import ciede2000, lab_of_linear, read_chart, region_colour
from registry.methods.colour.calibrate import calibrate
from registry.methods.colour.detect import find_card, find_chart
from registry.methods.colour.place import place_chart

PICTURES = Path(__file__).resolve().parents[1] / "fixtures" / "pictures"
WHITE = np.array([0.96422, 1.0, 0.82521])


def milliseconds(run: Callable[[], object]) -> float:
    """Processor time, the best of five."""
    return 1e3 * min(repeat(run, timer=process_time, number=1, repeat=5))


def steps() -> None:
    """What one picture costs, step by step: medians over the pictures."""
    truth = json.loads((PICTURES / "truth.json").read_text())["pictures"]
    charted = [name for name, it in truth.items() if (it["chart"] or {}).get("kind") == "patches_24"]
    region = np.random.default_rng(7).normal(0.4, 0.02, (80, 100, 3))
    spent: dict[str, list[float]] = {}
    for name in charted:
        picture = np.asarray(Image.open(PICTURES / name).convert("RGB")) / 255
        corners = find_chart(picture)
        assert corners is not None, name
        reading = read_chart(picture, corners)
        calibration = calibrate(reading)
        assert calibration.residual < 1, (name, calibration.residual)
        for step, run in (
            ("find the chart", lambda: find_chart(picture)),  # noqa: B023
            ("look for a grey card", lambda: find_card(picture)),  # noqa: B023
            ("read and calibrate, residual by leaving each patch out", lambda: calibrate(reading)),  # noqa: B023
            ("the same from corners in any order", lambda: place_chart(picture, corners)),  # noqa: B023
            ("measure a region of 8,000 pixels", lambda: region_colour(region, None)),  # noqa: B023
        ):
            spent.setdefault(step, []).append(milliseconds(run))
    for step, times in spent.items():
        print(f"{step}: {median(times):.1f} ms (median of {len(times)} pictures of 1200 x 800)")


def against_libraries(rng: np.random.Generator) -> None:
    """The same pixels, 96,000 of one picture."""
    import colour
    from skimage.color import deltaE_ciede2000

    picture = np.asarray(Image.open(next(PICTURES.glob("lg25_a_b*.jpg"))).convert("RGB")) / 255
    light = picture[:, :120].reshape(-1, 3) ** 2.2
    lab = lab_of_linear(light)
    other = lab + rng.normal(0, 5, lab.shape)
    ours = milliseconds(lambda: ciede2000(lab, other))
    for name, run in (
        ("scikit-image", lambda: deltaE_ciede2000(lab, other)),
        ("colour-science", lambda: colour.delta_E(lab, other, method="CIE 2000")),
    ):
        assert np.allclose(ciede2000(lab, other), run(), atol=1e-4), name
        theirs = milliseconds(run)
        print(f"CIEDE2000, {len(lab):,} pairs: {ours:.0f} ms, {name} {theirs:.0f} ms (x {theirs / ours:.1f})")
    matrix = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    d65 = np.array(colour.xy_to_XYZ(colour.RGB_COLOURSPACES["sRGB"].whitepoint))
    bend = colour.adaptation.matrix_chromatic_adaptation_VonKries(d65, WHITE, "Bradford")

    def theirs_lab() -> np.ndarray:
        return colour.XYZ_to_Lab(light @ (bend @ matrix).T, colour.XYZ_to_xy(WHITE))

    assert np.allclose(theirs_lab(), lab, atol=0.05)
    ours, theirs = milliseconds(lambda: lab_of_linear(light)), milliseconds(theirs_lab)
    print(
        f"CIELAB, {len(lab):,} pixels: {ours:.0f} ms, colour-science {theirs:.0f} ms (x {theirs / ours:.1f})"
    )


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    steps()
    against_libraries(np.random.default_rng(7))
