"""A QR code that is drawn is read back by another program."""

import re

import cv2
import numpy as np
import pytest

from registry.methods.drawing.qr import qr_code


@pytest.mark.parametrize("site", ["http://127.0.0.1:8000", "https://list.example.org", "https://a.example"])
def test_what_is_drawn_is_read_back(site):
    address = f"{site}/releases/00ytqttp5tqt"
    code = qr_code(address)
    picture = np.full((code.size, code.size), 255, np.uint8)
    for x, y, width in re.findall(r"M(\d+) (\d+)h(\d+)", code.path):
        picture[int(y), int(x) : int(x) + int(width)] = 0
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(np.kron(picture, np.ones((6, 6), np.uint8)))
    assert read == address
