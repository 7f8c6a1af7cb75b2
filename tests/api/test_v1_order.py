"""The order and the abundance of a release over /v1."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.models import Acceptance, CountLine
from tests.api.caller import Caller, problem
from tests.factories import ReleaseFactory, SightingFactory, StatementFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def release():
    return ReleaseFactory()


def variants_of(release, number=2):
    return [VariantFactory(release=release, title=f"Tide {n}") for n in range(number)]


def count(variant, n, **fields):
    sighting = SightingFactory(release=variant.release, **fields)
    CountLine.objects.create(sighting=sighting, kind="variant", n=n).variants.add(variant)


def test_the_sequence_names_days_pairs_and_what_it_rests_on(release):
    one, other = variants_of(release)
    statement = StatementFactory(variant=one, other=other, source_kind="makers_notice")
    count(other, 1, seen_on=date(2025, 3, 2), country="NL")
    told = Caller().get(f"releases/{release.public_id}/sequence").json()
    assert told["release"] == release.public_id
    assert told["made"] == {"pairs": [[one.public_id, other.public_id]], "number": "1"}
    assert told["shipped"] == {"pairs": [], "number": "2"}
    first, second = told["variants"]
    assert first["made"] == {
        "first_from": None,
        "first_to": "2025-03-01",
        "last_from": None,
        "last_to": None,
    }
    assert second["shipped_by_country"] == [{"country": "NL", **second["shipped"]}]
    said = {entry["kind"]: entry for entry in told["said"]}
    assert said["before"]["statement"] == statement.public_id
    assert (said["before"]["support"], said["seen"]["statement"], said["seen"]["latest"]) == (
        100,
        None,
        "2025-03-02",
    )
    assert told["conflict"] is None
    assert told["dropped"] == {"statements": [], "support": 0, "is_least": True}


def test_a_circle_is_told_with_what_to_doubt_and_what_was_left_out(release):
    a, b, c = variants_of(release, 3)
    circle = [StatementFactory(variant=one, other=other) for one, other in ((a, b), (b, c), (c, a))]
    told = Caller().get(f"releases/{release.public_id}/sequence").json()
    assert sorted(told["conflict"]["statements"]) == sorted(one.public_id for one in circle)
    assert (told["conflict"]["guarantee"], told["conflict"]["at_least"]) == ("smallest", 3)
    assert len(told["dropped"]["statements"]) == 1
    assert set(told["dropped"]["statements"]) <= set(told["conflict"]["doubt"])
    assert told["dropped"]["support"] == 100


def test_shares_are_ten_thousandths_and_in_words(release):
    one, other = variants_of(release)
    count(one, 9, scope="case", is_full_count=True)
    count(one, 9, scope="case", is_full_count=True)
    count(other, 1)
    told = Caller().get(f"releases/{release.public_id}/abundance").json()
    assert (told["level"], told["examples"], told["clusters"], told["units"]) == (9500, 18, 2, {"case": 2})
    counted, found = told["shares"]
    assert (counted["status"], counted["share"], counted["examples"]) == ("counted", 10000, 18)
    assert 0 < counted["low"] < counted["share"]
    assert (found["share"], found["words"]) == (None, "no estimate, only finds (1)")
    assert told["unmet_by_clusters"]["met"] == 1
    assert told["no_difference"] is None


def test_one_that_was_never_told_from_another_has_bounds_and_no_share(release):
    one, other = variants_of(release)
    sighting = SightingFactory(release=release, scope="case", is_full_count=True)
    CountLine.objects.create(sighting=sighting, kind="one_of_these", n=9).variants.set([one, other])
    for share in Caller().get(f"releases/{release.public_id}/abundance").json()["shares"]:
        assert (share["share"], share["examples"], share["low"] < share["high"]) == (None, 0, True)
        assert share["words"].startswith("no estimate, never told from the others")


def test_many_compared_without_a_difference_bound_what_was_not_seen(release):
    (only,) = variants_of(release, 1)
    count(only, 100, scope="case", is_full_count=True, cases_compared=10)
    told = Caller().get(f"releases/{release.public_id}/abundance").json()["no_difference"]
    # 1 - 0.05^(1/100) and 1 - 0.05^(1/10); the rule of three, Hanley and Lippman-Hand 1983, in its exact form
    assert (told["examples"], told["cases"], told["share"], told["cases_share"]) == (100, 10, 295, 2589)


@pytest.mark.parametrize("name", ["sequence", "abundance"])
def test_an_unchanged_answer_is_304_and_a_sighting_changes_its_tag(release, name):
    one, _ = variants_of(release)
    path = f"releases/{release.public_id}/{name}"
    first = Caller().get(path)
    assert Caller().get(path, if_none_match=first["ETag"]).status_code == 304
    count(one, 3, scope="case", is_full_count=True)
    again = Caller().get(path, if_none_match=first["ETag"])
    assert (again.status_code, again["ETag"] != first["ETag"]) == (200, True)


@pytest.mark.parametrize("name", ["sequence", "abundance"])
def test_a_release_without_a_variant_answers_and_one_merged_leads_on(release, name):
    empty = Caller().get(f"releases/{release.public_id}/{name}")
    assert empty.status_code == 200
    assert empty.json().get("variants", []) == empty.json().get("shares", []) == []
    merged = ReleaseFactory(acceptance=Acceptance.MERGED, merged_into=release)
    moved = Caller().get(f"releases/{merged.public_id}/{name}")
    assert (moved.status_code, moved["Location"]) == (301, f"/v1/releases/{release.public_id}/{name}")
    problem(Caller().get(f"releases/{release.public_id}/{name}", {"colour": "red"}), 400, "parameter-unknown")


def test_only_the_members_asked_for_are_sent(release):
    told = Caller().get(f"releases/{release.public_id}/sequence", {"fields": "release,made.number"}).json()
    assert told == {"release": release.public_id, "made": {"number": "1"}}


@pytest.mark.parametrize("name", ["sequence", "abundance"])
def test_it_costs_the_same_for_two_of_everything_and_twenty(name):
    costs = []
    for size in (2, 20):
        release = ReleaseFactory()
        several = variants_of(release, size)
        for one, other in zip(several, several[1:], strict=False):
            StatementFactory(variant=one, other=other)
            count(one, 3, scope="case", is_full_count=True)
        with CaptureQueriesContext(connection) as asked:
            assert Caller().get(f"releases/{release.public_id}/{name}").status_code == 200
        costs.append(len(asked))
    assert costs[0] == costs[1] <= 7
