"""The lists under one release cost the same however long they are."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.models import ReleaseState
from tests.api.caller import Caller
from tests.factories import ReleaseFactory, TraitFactory, states_of

pytestmark = pytest.mark.django_db


def release_with(traits: int):
    release = ReleaseFactory()
    for n in range(traits):
        trait = TraitFactory(line=release.line, adopted_by=release)
        for state in states_of(trait, f"anchor_{n}", f"gull_{n}"):
            ReleaseState.objects.create(release=release, state=state)
    return release


@pytest.mark.parametrize("name", ["traits", "states"])
def test_a_list_of_a_release_costs_the_same_for_two_traits_and_twenty(name):
    costs = []
    for traits in (2, 20):
        release = release_with(traits)
        with CaptureQueriesContext(connection) as asked:
            answer = Caller().get(f"releases/{release.public_id}/{name}")
        assert answer.status_code == 200
        costs.append(len(asked))
    assert costs[0] == costs[1] <= 6
