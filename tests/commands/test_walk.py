"""A step of the main path is taken once, whole or not at all, and always later than what the journal holds."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry import actions
from registry.management.scenario.walk import present, step
from registry.models import JournalEntry, Maker
from tests.factories import ModeratorFactory

pytestmark = pytest.mark.django_db


def test_a_step_is_taken_once_and_found_afterwards():
    moderator = ModeratorFactory()

    def add(now):
        actions.add_maker(by=moderator, at=now(), name="Otterholm Tinworks")

    first = step(Maker.objects.first, add)
    again = step(Maker.objects.first, add)
    assert first == again
    assert Maker.objects.count() == 1


def test_a_step_that_breaks_off_leaves_nothing():
    moderator = ModeratorFactory()

    def add_and_break(now):
        actions.add_maker(by=moderator, at=now(), name="Otterholm Tinworks")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        step(Maker.objects.first, add_and_break)
    assert not Maker.objects.exists()
    assert not JournalEntry.objects.exists()


def test_the_present_is_later_than_the_journal_whatever_the_clock_says():
    assert abs(present() - timezone.now()) < timedelta(minutes=1)
    ahead = timezone.now() + timedelta(days=400)
    actions.add_maker(by=ModeratorFactory(), at=ahead, name="Otterholm Tinworks")
    assert present() > ahead
