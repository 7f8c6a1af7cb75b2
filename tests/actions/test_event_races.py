"""Moderators' events at the same moment: one of them is done, the other is refused, whichever comes first."""

import pytest

from registry import actions
from registry.errors import MergeCycle
from registry.models import Variant
from tests.factories import ModeratorFactory
from tests.path import Scene, now

from .test_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 5


def test_of_two_merges_the_other_way_round_one_is_done_and_one_is_a_circle():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    first = scene.report(scene.gull, base=base)
    second = scene.report(scene.gull, scene.blue, base=base)
    moderators = [scene.moderator, ModeratorFactory()]

    def merging(variant, into, by):
        return lambda: actions.merge_variants(variant=variant, into=into, by=by, at=now(), reason="One.")

    for _ in range(ROUNDS):
        found = at_once([merging(first, second, moderators[0]), merging(second, first, moderators[1])])
        assert sorted(type(one) for one in found if isinstance(one, Exception)) == [MergeCycle]
        gone = Variant.objects.get(pk__in=(first.pk, second.pk), standing="merged")
        assert gone.merged_into in (first, second)
        assert gone.merged_into != gone
        actions.restore_variant(variant=gone, by=scene.moderator, at=now(), reason="Two.")
