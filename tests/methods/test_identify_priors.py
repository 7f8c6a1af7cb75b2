"""Priors from full counts, and what it takes to look at a detail."""

import pytest

from registry.methods.abundance import Count, Line, abundance
from registry.methods.identify import Need
from registry.methods.identify.expectations import UNLISTED
from registry.methods.identify.inspection import effort_of, needs_of
from registry.methods.identify.priors import LEAST_UNLISTED, LOOKS, MOST_UNLISTED, unlisted, weights


def cases(*lines):
    """One full count of a case for each: how many of which variant; `""` for none of the known."""
    return [
        Count(str(n), "case", tuple(Line(k, (name,) if name else ()) for name, k in each.items()), full=True)
        for n, each in enumerate(lines)
    ]


def counted(*lines, variants=("a", "b", "c")):
    return abundance(cases(*lines), list(variants))


def test_weights_sum_to_one_and_follow_the_counts():
    found = weights(counted({"a": 8, "b": 2}, {"a": 7, "b": 3}), ["a", "b", "c"])
    assert sum(found) == pytest.approx(1)
    assert found[0] > found[1] > found[2] > 0


def test_weights_are_laplaces_rule_on_the_effective_examples():
    told = counted({"a": 8, "b": 2}, {"a": 7, "b": 3})
    n, shares = told.effective, {share.variant: share.estimate or 0 for share in told.shares}
    expected = [(n * shares[name] + 1) / (n + 3) for name in ("a", "b", "c")]
    assert weights(told, ["a", "b", "c"]) == pytest.approx(expected)


def test_without_counts_every_variant_weighs_the_same_and_the_plain_prior_holds():
    told = counted()
    assert weights(told, ["a", "b", "c"]) == pytest.approx([1 / 3] * 3)
    assert unlisted(told) == pytest.approx(UNLISTED)


def test_kinds_met_in_one_case_only_make_not_listed_likelier():
    """Good 1953: 1 - coverage is the share of looks that met their kind once; here 1 of 5, by hand."""
    told = counted({"a": 9, "b": 1}, {"a": 9, "b": 2}, {"c": 1})
    assert told.unmet_by_clusters.coverage == pytest.approx(1 - 1 / 5)
    assert unlisted(told) == pytest.approx((5 * 1 / 5 + LOOKS * UNLISTED) / (5 + LOOKS))


def test_items_of_none_of_the_known_add_their_share_and_the_ends_hold():
    assert unlisted(counted({"a": 5, "": 5}, {"a": 5, "": 5})) == MOST_UNLISTED
    assert unlisted(counted(*[{"a": 10, "b": 10}] * 200)) == LEAST_UNLISTED


@pytest.mark.parametrize(
    ("said", "needs"),
    [
        ({}, set()),
        ({"seen_in_pack": False}, {Need.LOOSE}),
        ({"place": "base", "seen_in_pack": False}, {Need.LOOSE, Need.BASE_VISIBLE}),
        ({"place": "base"}, set()),
        ({"kind": "finish"}, {Need.RAKING_LIGHT}),
        ({"how_to_inspect": "Tilt it under a lamp."}, {Need.RAKING_LIGHT}),
        ({"how_to_inspect": "Read it with a loupe."}, {Need.MAGNIFIER}),
    ],
)
def test_what_must_be_at_hand_follows_from_what_is_recorded(said, needs):
    plain = {"kind": "print", "place": "roof", "how_to_inspect": "", "seen_in_pack": True}
    assert needs_of(**{**plain, **said}) == needs


def test_each_need_makes_a_look_more_trouble():
    assert effort_of(frozenset(), "print") == 1
    assert effort_of(frozenset(Need), "measure") > effort_of(frozenset(Need), "print") > 1
