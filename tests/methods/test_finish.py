"""The shine's cue on rendered panels of known roughness. Truth: fixtures/panels/shine.json."""

import numpy as np
import pytest

from benchmarks.finish.__main__ import fit
from benchmarks.finish.panels import marked
from registry.methods.colour import encode
from registry.methods.finish import NoCue, fitted, measure_streak, shine_cue

GLOSS, MATTE = 0.2, 0.55  # the panels held out are 0.05 to 0.18, 0.30 and 0.43, 0.60 to 0.85


@pytest.fixture(scope="module")
def held_out():
    """Each mark on a panel that was held out, whose reflection it holds, with its cue; and how many were refused."""
    judged, refused = [], 0
    for mark in marked("held"):
        try:
            cue = shine_cue(mark.pixels, raking=True)
        except NoCue:
            refused += 1
            continue
        if mark.holds_streak:
            judged.append((mark, cue))
    return judged, refused


def test_the_stored_numbers_are_those_that_the_pictures_give():
    coefficients, half_width, count = fit()
    assert coefficients == pytest.approx(fitted.COEFFICIENTS, abs=1e-3)
    assert half_width == pytest.approx(fitted.HALF_WIDTH, abs=2e-3)
    assert count >= 90


def test_panels_held_out_share_neither_colour_nor_roughness_nor_lamp_with_those_fitted():
    fitted_to, held = list(marked("fit")), list(marked("held"))
    for said in ("paint", "roughness"):
        assert not {m.panel[said] for m in fitted_to} & {m.panel[said] for m in held}
    assert len(held) >= 90


def test_matte_and_gloss_are_told_apart_on_panels_held_out(held_out):
    judged, refused = held_out
    gloss = [cue for mark, cue in judged if mark.roughness < GLOSS]
    matte = [cue for mark, cue in judged if mark.roughness > MATTE]
    assert min(len(gloss), len(matte)) >= 30
    assert refused <= 10
    between = (GLOSS + MATTE) / 2
    right = sum(cue.roughness < between for cue in gloss) + sum(cue.roughness > between for cue in matte)
    assert right / len(gloss + matte) >= 0.95
    assert not any(cue.looks == "matte" for cue in gloss)
    assert not any(cue.looks == "glossy" for cue in matte)


def test_the_interval_holds_as_often_as_it_says_and_is_narrow_enough_to_say_something(held_out):
    judged, _ = held_out
    inside = np.mean([cue.low <= mark.roughness <= cue.high for mark, cue in judged])
    assert inside >= 0.88  # 90 % is said; two marks on one panel are not two panels
    shiny = [cue.high - cue.low for mark, cue in judged if mark.roughness < GLOSS]
    assert np.median(shiny) < 0.3
    assert all(cue.low <= cue.roughness <= cue.high <= 1 for _, cue in judged)


def test_without_a_raking_lamp_there_is_no_cue():
    marks = list(marked("no_lamp"))
    assert len(marks) == 16
    for mark in marks:
        with pytest.raises(NoCue, match="No highlight to judge by|runs off the mark"):
            shine_cue(mark.pixels, raking=False)


def dome(height=0.5, width=0.08, side=80, base=0.2, at=(0.5, 0.5)):
    """Grey paint with one round spot. Linear light, then sRGB."""
    y, x = np.mgrid[0:side, 0:side] / side
    spot = height * np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * width**2))
    return encode(np.repeat((base + spot)[..., None], 3, axis=2))


def test_a_narrower_spot_looks_shinier_and_the_exposure_does_not_matter():
    narrow, wide = shine_cue(dome(width=0.03), True), shine_cue(dome(width=0.25), True)
    assert narrow.roughness < 0.1 < wide.roughness
    assert (narrow.looks, wide.looks) == ("glossy", "matte")
    dark = shine_cue(dome(height=0.125, base=0.05, width=0.1), True)
    assert dark.roughness == pytest.approx(shine_cue(dome(width=0.1), True).roughness, abs=0.01)


def test_the_sentence_tells_what_is_seen_the_interval_and_what_would_make_sure():
    said = shine_cue(dome(width=0.03), True).sentence
    assert said.startswith(
        "Looks glossy here: the lamp's reflection is small and sharp. Likely roughness 0.00 to "
    )
    assert said.endswith("Tilt the model to be sure: a reflection moves, a print or a fitting does not.")
    assert "Turn the model" in shine_cue(dome(width=0.25), True).sentence


@pytest.mark.parametrize(
    ("pixels", "says"),
    [
        (dome(side=11), "smaller than 12 pixels"),
        (np.ones((60, 60, 3)), "burnt out"),
        (np.full((60, 60, 3), 0.4), "No highlight to judge by"),
        (np.zeros((60, 60, 3)), "No highlight to judge by"),
        (dome(at=(0.0, 0.5), width=0.04), "runs off the mark"),
        (np.random.default_rng(1).uniform(0, 0.3, (60, 60, 3)), "more than plain paint|grainy"),
        (np.kron(np.indices((8, 8)).sum(axis=0) % 2, np.ones((10, 10)))[..., None] * [0.5, 0.4, 0.3], "plain paint"),
    ],
    ids=["small", "burnt", "flat", "black", "cut", "noise", "chequered"],
)  # fmt: skip
def test_what_gives_no_cue_is_refused_in_words(pixels, says):
    with pytest.raises(NoCue, match=says):
        shine_cue(pixels, raking=True)


def test_a_whole_vehicle_is_no_plain_paint():
    """The marks of the demo's clear coats go round whole bodies, prints and wheels included."""
    import json
    from pathlib import Path

    from PIL import Image

    folder = Path(__file__).resolve().parents[2] / "fixtures" / "pictures"
    name = "bw24_d_1_pack_left.jpg"
    [shown] = json.loads((folder / "truth.json").read_text())["pictures"][name]["examples"].values()
    x, y, w, h = (c / 100 for c in shown["traits"]["clear_coat"]["box"])
    picture = np.asarray(Image.open(folder / name).convert("RGB")) / 255
    height, width = picture.shape[:2]
    body = picture[int(y * height) : int((y + h) * height), int(x * width) : int((x + w) * width)]
    assert measure_streak(body).busy > 15
    with pytest.raises(NoCue, match="more than plain paint"):
        shine_cue(body, raking=True)
