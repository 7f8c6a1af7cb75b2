"""Every kind of statement is one that methods.sequence takes, and means there what it says here."""

from datetime import date

import pytest

from registry.methods.sequence import put_in_order
from registry.models import SourceKind, StatementKind
from registry.queries.said import said_in_order
from tests.factories import CodePatternFactory, StatementFactory, VariantFactory

pytestmark = pytest.mark.django_db
DAY = date(2025, 2, 10)


def said(kind, **more):
    variant = VariantFactory()
    other = VariantFactory(release=variant.release)
    whole = {
        "variant": variant,
        "release": variant.release,
        "kind": kind,
        "source_kind": SourceKind.MAKERS_NOTICE,
    }
    if kind in (StatementKind.NOT_BEFORE, StatementKind.NOT_AFTER):
        whole |= {"other": None, "on": DAY}
    elif kind == StatementKind.PACKED:
        whole |= {"other": other, "on": DAY, "source_kind": SourceKind.PACKING_DATE}
    elif kind == StatementKind.CODED:
        pattern = CodePatternFactory(line=variant.release.line, dates=more.pop("dates", "packing"))
        whole |= {
            "other": None, "on": DAY, "until": date(2025, 2, 16), "code": "F07", "code_pattern": pattern,
            "source_kind": SourceKind.PRODUCTION_CODE,
        }  # fmt: skip
    else:
        whole |= {"other": other}
    statement = StatementFactory(**whole | more)
    names = tuple(one.public_id for one in (statement.variant, statement.other) if one)
    return said_in_order(statement, names, 1.0)


@pytest.mark.parametrize("kind", StatementKind.values)
def test_every_kind_can_be_put_in_order(kind):
    one = said(kind)
    assert one.kind == kind
    assert put_in_order(one.variants, [one]).conflict is None


def test_a_pack_seen_with_both_says_that_each_had_been_made_by_its_date():
    one = said(StatementKind.PACKED)
    order = put_in_order(one.variants, [one])
    assert [order.span(variant).first_to for variant in one.variants] == [DAY.toordinal()] * 2
    assert order.steps() == ()


@pytest.mark.parametrize(
    ("dates", "first_to"),
    [("packing", date(2025, 2, 16).toordinal()), ("printing", None), ("moulding", None)],
)
def test_a_code_on_a_part_says_only_that_an_item_was_made_no_earlier(dates, first_to):
    one = said(StatementKind.CODED, dates=dates)
    span = put_in_order(one.variants, [one]).span(one.variants[0])
    assert span.first_to == first_to
    if dates != "packing":
        assert span.last_from == DAY.toordinal()


def test_what_was_seen_in_shops_dates_shipping():
    assert said(StatementKind.BEFORE, source_kind=SourceKind.DATED_SIGHTING).dates == "shipping"
    assert said(StatementKind.BEFORE).dates == "production"
