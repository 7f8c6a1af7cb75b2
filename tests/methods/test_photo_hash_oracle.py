"""Our hash against imagehash's, on scikit-image's bundled pictures and on our own."""

from pathlib import Path

import pytest
from PIL import Image

from registry.methods.photo_hash import picture_hash

pytestmark = pytest.mark.oracle
PICTURES = Path(__file__).parents[2] / "fixtures" / "pictures"


def test_every_picture_has_the_hash_that_imagehash_gives_it():
    imagehash = pytest.importorskip("imagehash")
    skimage = pytest.importorskip("skimage")
    bundled = Path(skimage.__file__).parent / "data"
    files = [*bundled.glob("*.png"), *bundled.glob("*.jpg"), *PICTURES.glob("*.jpg")]
    assert len(files) > 100
    for file in files:
        with Image.open(file) as picture:
            assert f"{picture_hash(picture):016x}" == str(imagehash.phash(picture)), file.name
