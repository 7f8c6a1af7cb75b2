"""A factory of measurements, beside those of tests/factories.py."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from registry import models as m

from .factories import NOON, ExampleFactory, PhotoFactory


class MeasurementFactory(DjangoModelFactory):
    """A line of 4 mm, a ninth of a wheelbase of 36 mm."""

    class Meta:
        model = m.Measurement

    example = factory.SubFactory(ExampleFactory)
    photo = factory.SubFactory(PhotoFactory, submission__release=factory.SelfAttribute("...example.release"))
    known_by, known_um = "wheelbase", 36_000
    known_x1, known_y1, known_x2, known_y2 = 1000, 8000, 4600, 8000
    x1, y1, x2, y2 = 2600, 7000, 3000, 7000
    pointing_px = 3
    is_slanted, same_plane = False, True
    length_um, error_um = 4_000, 400
    by = factory.SelfAttribute("photo.owner")
    at = NOON
