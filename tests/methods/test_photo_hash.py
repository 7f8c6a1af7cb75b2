"""T10: which pictures look alike, whatever was done to one of them."""

from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from registry.methods import photo_hash
from registry.methods.photo_hash import NEAR, TILES, PhotoHashes
from tests.pictures import saved

PICTURES = Path(__file__).parents[2] / "fixtures" / "pictures"
# Computed by imagehash 4.3.2 with Pillow 13.0.0 from the files in fixtures/pictures.
BY_IMAGEHASH = {
    "be24_c_1_front_left": "f843913c4ec86377",
    "bo24_a_1_base": "ff2bc0a01583c33f",
    "fh24_d_2_top": "ff2a80a9d4803f57",
    "lg24_c_1_right": "eb01915b8c253f9e",
}
hashes = st.integers(0, 2**64 - 1)


def small(name: str) -> Image.Image:
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        picture.draft("RGB", (600, 400))
        return picture.convert("RGB").resize((480, 320))


def seen(picture: Image.Image, **how: object) -> PhotoHashes:
    found = photo_hash.hashes_of(saved(picture, **how))
    assert found is not None
    return found


def nearest(sent: PhotoHashes, known: PhotoHashes, tiles: bool = False) -> int:
    return int(photo_hash.least_distances([known.whole, *(known.tiles if tiles else ())], sent.turned).min())


@pytest.fixture(scope="module")
def scenes() -> dict[str, Image.Image]:
    return {name: small(name) for name in BY_IMAGEHASH}


@pytest.mark.parametrize("name", BY_IMAGEHASH)
def test_the_hash_is_that_of_the_library(name):
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        assert f"{photo_hash.picture_hash(picture):016x}" == BY_IMAGEHASH[name]


def test_T10_mirrored_turned_smaller_and_coarser_copies_are_near(scenes):
    for name, picture in scenes.items():
        known = seen(picture)
        for turn in Image.Transpose:
            assert nearest(seen(picture.transpose(turn)), known) <= 3, (name, turn)
        smaller = picture.resize((336, 224))
        assert nearest(seen(smaller, quality=60), known) <= 3, name
        assert nearest(seen(smaller.transpose(Image.Transpose.FLIP_LEFT_RIGHT), quality=60), known) <= 4, name


def test_T10_a_crop_that_leaves_a_tile_is_near_it_upright_or_mirrored(scenes):
    for name, picture in list(scenes.items())[:2]:
        known = seen(picture)
        for left, top, right, bottom in TILES:
            box = (round(left * 480), round(top * 320), round(right * 480), round(bottom * 320))
            crop = picture.crop(box)
            assert nearest(seen(crop, quality=60), known, tiles=True) <= NEAR, (name, box)
        mirrored = picture.crop((36, 24, 444, 296)).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        assert nearest(seen(mirrored), known, tiles=True) <= NEAR, name


def test_different_pictures_are_far_from_each_other(scenes):
    known = {name: seen(picture) for name, picture in scenes.items()}
    pairs = [(a, b) for a in known for b in known if a < b]
    assert [pair for pair in pairs if nearest(known[pair[0]], known[pair[1]]) <= NEAR] == []


def test_a_picture_of_nothing_has_no_hash():
    across = Image.linear_gradient("L").resize((320, 214))
    grain = Image.effect_noise((320, 214), 12)
    for nothing in (Image.new("RGB", (320, 214), "white"), across, grain, Image.radial_gradient("L")):
        assert photo_hash.hashes_of(saved(nothing.convert("RGB"))) is None
    assert photo_hash.hashes_of(saved(Image.new("RGB", (1, 1)))) is None


def test_long_thin_pictures_have_tiles_too():
    stripes = Image.effect_noise((320, 2), 90).convert("RGB")
    found = photo_hash.hashes_of(saved(stripes))
    assert found is None or len(found.tiles) == len(TILES)


@given(hashes, st.sets(st.integers(0, 63), max_size=NEAR))
def test_every_hash_within_eight_bits_shares_a_band_that_is_looked_up(bits, flipped):
    other = bits
    for bit in flipped:
        other ^= 1 << bit
    asked = PhotoHashes((bits,) * 8, ())
    for of_tile in (False, True):
        looked_up = photo_hash.looked_up(asked)
        kept = photo_hash.bands(other, of_tile)
        assert any(band in values for band, values in zip(kept, looked_up, strict=True))
    assert photo_hash.distance(bits, other) == len(flipped)


@given(hashes, hashes)
def test_whole_pictures_and_tiles_are_never_mixed(one, other):
    assert not set(photo_hash.bands(one)) & set(photo_hash.bands(other, of_tile=True))


@given(hashes)
def test_bands_hold_all_bits_and_databases_take_the_number(bits):
    first, second, third = photo_hash.bands(bits)
    assert first << 42 | second << 21 | third == bits
    kept = photo_hash.signed(bits)
    assert -(2**63) <= kept < 2**63
    assert kept % 2**64 == bits
    assert list(photo_hash.least_distances([kept], [bits])) == [0]


def test_a_look_up_asks_for_no_more_values_than_it_says():
    counted = [len(values) for values in photo_hash.looked_up(PhotoHashes(tuple(range(0, 2**63, 2**60)), ()))]
    assert max(counted) <= 2540


def test_the_jpeg_of_a_thumbnail_is_what_is_hashed(scenes):
    picture = next(iter(scenes.values()))
    again = Image.open(BytesIO(saved(picture)))
    assert seen(picture).whole == photo_hash.picture_hash(again)
