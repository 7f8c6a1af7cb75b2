"""The colour of a marked region, measured by a chart or a grey card in the picture."""

from .calibrate import Calibration, calibrate
from .chart import GREY_CARD, PATCHES, Reading, read_card, read_chart
from .difference import ciede2000
from .names import colour_name
from .region import RegionColour, region_colour
from .spaces import decode, encode, lab_of_linear, linear_of_lab

__all__ = [
    "GREY_CARD",
    "PATCHES",
    "Calibration",
    "Reading",
    "RegionColour",
    "calibrate",
    "ciede2000",
    "colour_name",
    "decode",
    "encode",
    "lab_of_linear",
    "linear_of_lab",
    "read_card",
    "read_chart",
    "region_colour",
]
