"""From statements to days and order, and what is refused."""

import numpy as np
import pytest

from registry.methods.sequence import Span, Statement, Window, put_in_order, with_one_more
from registry.methods.sequence.network import is_consistent
from tests.methods.random_statements import random_statements

LINE = Window(begin=100, today=900)


def test_one_dated_sighting_bounds_the_first_day_of_making_and_of_shipping():
    order = put_in_order("a", [Statement("1", "seen", ("a",), latest=300)], LINE)
    assert order.span("a") == Span(first_from=100, first_to=300, last_from=100, last_to=None)
    assert order.span("a", "shipping") == Span(first_from=100, first_to=300, last_from=100, last_to=None)


def test_packed_together_says_when_each_had_been_made_and_nothing_of_shipping():
    order = put_in_order("ab", [Statement("1", "packed", ("a", "b"), latest=250)], LINE)
    for variant in "ab":
        assert order.span(variant).first_to == 250
        assert order.span(variant, "shipping").first_to is None


def test_leftover_stock_packed_late_does_not_make_production_last():
    said = [
        Statement("1", "not_after", ("a",), latest=200),
        Statement("2", "packed", ("a", "b"), latest=500),
        Statement("3", "ended_by", ("a", "b")),
    ]
    order = put_in_order("ab", said, LINE)
    assert order.conflict is None
    assert order.span("a") == Span(100, 200, 100, 200)
    assert order.span("b").first_to == 500


@pytest.mark.parametrize(
    ("dates", "made", "sent"),
    [
        ("production", Span(None, 230, 200, None), Span(None, None, 200, None)),
        ("shipping", Span(None, 230, None, None), Span(None, None, 200, None)),
        ("parts", Span(None, None, 200, None), Span(None, None, 200, None)),
    ],
)
def test_a_code_says_only_what_it_dates(dates, made, sent):
    order = put_in_order("a", [Statement("1", "coded", ("a",), earliest=200, latest=230, dates=dates)])
    assert order.span("a") == made
    assert order.span("a", "shipping") == sent


def test_first_seen_in_shops_is_shipping_order_and_not_production_order():
    order = put_in_order("ab", [Statement("1", "before", ("a", "b"), dates="shipping")], LINE)
    assert order.steps("shipping") == (("a", "b"),)
    assert order.steps() == ()


def test_before_and_dates_together_tighten_both_variants():
    said = [
        Statement("1", "before", ("a", "b")),
        Statement("2", "not_before", ("a",), earliest=400),
        Statement("3", "seen", ("b",), latest=410),
    ]
    order = put_in_order("ab", said, LINE)
    assert (order.span("a").first_from, order.span("a").first_to) == (400, 409)
    assert (order.span("b").first_from, order.span("b").first_to) == (401, 410)


def test_alongside_needs_a_day_when_both_were_being_made():
    said = [
        Statement("1", "alongside", ("a", "b")),
        Statement("2", "not_after", ("a",), latest=300),
        Statement("3", "not_before", ("b",), earliest=300),
    ]
    assert put_in_order("ab", said, LINE).span("b").first_to == 300
    later = Statement("4", "not_before", ("b",), earliest=301)
    assert put_in_order("ab", [*said, later], LINE).conflict.statements == ("1", "2", "4")


def test_a_variant_that_came_back_was_made_before_and_after():
    said = [Statement("1", "returned", ("a", "b")), Statement("2", "not_before", ("b",), earliest=500)]
    order = put_in_order("ab", said, LINE)
    assert order.steps() == (("a", "b"),)
    assert order.span("a").last_from == 501


def test_one_factory_may_end_while_another_goes_on():
    said = [
        Statement("1", "ended_by", ("a", "b"), strand="north works"),
        Statement("2", "returned", ("a", "b"), strand="south works"),
        Statement("3", "coded", ("b",), earliest=300, latest=310, strand="north works"),
    ]
    order = put_in_order("ab", said, LINE)
    assert order.conflict is None
    assert order.span("a", strand="north works").last_to == 309
    assert order.span("a").last_to is None
    assert order.span("a").first_to == 309
    assert ("a", "south works") in order.strands


def test_the_order_of_the_statements_never_matters():
    rng = np.random.default_rng(5)
    for _ in range(30):
        said = random_statements(rng, "abcd", 8)
        one, other = (put_in_order("abcd", s, Window(0, 40)) for s in (said, said[::-1]))
        assert np.array_equal(one.tightest, other.tightest)
        assert (one.conflict, one.dropped) == (other.conflict, other.dropped)


def test_one_more_statement_gives_the_same_as_computing_afresh():
    rng = np.random.default_rng(50)
    conflicts = 0
    for _ in range(100):
        *said, last = random_statements(rng, "abcd", 6)
        afresh = put_in_order("abcd", [*said, last], Window(0, 40))
        grown = with_one_more(put_in_order("abcd", said, Window(0, 40)), last)
        assert is_consistent(grown.tightest)
        assert np.array_equal(grown.tightest, afresh.tightest)
        assert (grown.statements, grown.conflict, grown.dropped) == (
            afresh.statements,
            afresh.conflict,
            afresh.dropped,
        )
        conflicts += afresh.conflict is not None
    assert 20 < conflicts < 80


def test_one_more_statement_may_name_a_new_factory_or_say_again_what_was_said():
    order = put_in_order("ab", [Statement("1", "before", ("a", "b"), by="keel")], LINE)
    north = with_one_more(order, Statement("2", "seen", ("b",), latest=300, strand="north works"))
    assert north.span("b", strand="north works").first_to == 300
    again = with_one_more(north, Statement("3", "before", ("a", "b"), by="keel"))
    assert [s.id for s in again.statements] == ["1", "2"]


def test_ten_thousand_identical_sightings_from_one_account_count_once():
    same = [Statement(f"{n:05}", "seen", ("a",), latest=300, by="keel") for n in range(10_000)]
    honest = [Statement("notice", "not_before", ("a",), earliest=301, support=1.5)]
    order = put_in_order("a", [*same, *honest], LINE)
    assert len(order.statements) == 2
    assert order.dropped.statements == ("00000",)


def test_two_members_who_say_the_same_are_two_statements():
    said = [Statement(by, "before", ("a", "b"), by=by) for by in ("keel", "gale")]
    assert len(put_in_order("ab", [*said, Statement("x", "alongside", ("a", "b"))]).statements) == 3


def test_either_way_round_alongside_is_the_same_statement():
    said = [
        Statement("1", "alongside", ("a", "b"), by="keel"),
        Statement("2", "alongside", ("b", "a"), by="keel"),
    ]
    assert [s.id for s in put_in_order("ab", said).statements] == ["1"]


REFUSED = [
    ("statement x: it relates a to itself", {"variants": ("a", "a")}),
    ("statement x: variant z is not listed", {"variants": ("a", "z")}),
    ("statement x: before relates two variants, got 1", {"variants": ("a",)}),
    ("statement x: it names no variant", {"kind": "seen", "variants": (), "latest": 300}),
    ("statement x: seen takes latest", {"kind": "seen"}),
    ("statement x: before takes no day", {"latest": 300}),
    ("statement x: coded takes earliest and latest", {"kind": "coded", "variants": ("a",), "latest": 300}),
    ("statement x: day 99 is before the line began", {"kind": "not_after", "variants": ("a",), "latest": 99}),
    ("statement x: day 901 is in the future", {"kind": "not_before", "variants": ("a",), "earliest": 901}),
    ("its days run backwards", {"kind": "coded", "variants": ("a",), "earliest": 301, "latest": 300}),
    ("statement x: the kind 'after' is not known", {"kind": "after"}),
    ("statement x: its support must be a number from 0 up", {"support": -1.0}),
    ("statement x: its support must be a number from 0 up", {"support": float("nan")}),
    ("statement x: only a code dates parts", {"dates": "parts"}),
    ("statement x: it dates 'sale'", {"dates": "sale"}),
    ("about one variant, got 2", {"kind": "not_before", "earliest": 300}),
]


@pytest.mark.parametrize(("fault", "changed"), REFUSED, ids=[row[0] for row in REFUSED])
def test_a_statement_that_cannot_be_taken_is_named(fault, changed):
    said = Statement(**({"id": "x", "kind": "before", "variants": ("a", "b")} | changed))
    with pytest.raises(ValueError, match=fault):
        put_in_order("ab", [said], LINE)
    with pytest.raises(ValueError, match=fault):
        with_one_more(put_in_order("ab", [], LINE), said)


def test_an_id_used_twice_a_variant_listed_twice_and_a_backward_window_are_refused():
    said = Statement("x", "before", ("a", "b"))
    with pytest.raises(ValueError, match="used twice"):
        put_in_order("ab", [said, said])
    with pytest.raises(ValueError, match="listed twice"):
        put_in_order("aa", [])
    with pytest.raises(ValueError, match="after today"):
        put_in_order("a", [], Window(10, 9))


def test_nothing_said_leaves_everything_open():
    order = put_in_order("ab", [])
    assert order.span("a") == order.span("b", "shipping") == Span(None, None, None, None)
    assert order.steps() == ()
    assert order.number_of_orders() == 2
    assert put_in_order("", []).steps() == ()
