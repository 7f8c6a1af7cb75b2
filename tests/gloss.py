"""A factory of gloss meter readings, beside those of tests/factories.py."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from registry import models as m

from .factories import NOON, ExampleFactory, MemberFactory, TraitFactory


class GlossReadingFactory(DjangoModelFactory):
    """12.4 gloss units at 60 degrees."""

    class Meta:
        model = m.GlossReading

    example = factory.SubFactory(ExampleFactory)
    trait = factory.SubFactory(TraitFactory, kind="finish")
    geometry, tenths = 60, 124
    by = factory.SubFactory(MemberFactory)
    at = NOON
