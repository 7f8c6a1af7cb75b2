"""The cabinet: a member's own, consistent, and never changed by an old copy."""

import pytest

from registry import actions
from registry.errors import Conflict, InvalidField, NotFound
from registry.models import CabinetItem
from tests.factories import CabinetItemFactory, ExampleFactory, MemberFactory, ReleaseFactory, VariantFactory
from tests.path import now

from .watching import refused

pytestmark = pytest.mark.django_db


def put(by, **said):
    return actions.put_item(by=by, at=now(), **{"release": None, "condition": "loose", **said})


def test_an_item_without_a_variant_is_one_not_checked_yet():
    item = put(MemberFactory(), release=ReleaseFactory(), count=3, to_swap=1)
    assert (item.variant, item.count, item.to_swap, item.revision) == (None, 3, 1, 1)


def test_what_a_change_does_not_name_stays():
    variant = VariantFactory()
    item = CabinetItemFactory(release=variant.release, count=2, note="one chipped")
    actions.change_item(item=item, by=item.member, at=now(), expected_revision=1, variant=variant, to_swap=2)
    item.refresh_from_db()
    assert (item.variant, item.count, item.to_swap, item.note, item.revision) == (
        variant,
        2,
        2,
        "one chipped",
        2,
    )


@pytest.mark.parametrize(("action", "said"), [("change_item", {"count": 4}), ("take_item_out", {})])
def test_T42_an_old_copy_changes_nothing(action, said):
    item = CabinetItemFactory(revision=2)
    with refused(Conflict):
        getattr(actions, action)(item=item, by=item.member, at=now(), expected_revision=1, **said)


def test_an_item_taken_out_is_gone():
    item = CabinetItemFactory()
    actions.take_item_out(item=item, by=item.member, at=now(), expected_revision=1)
    assert not CabinetItem.objects.exists()
    with refused(NotFound):
        actions.change_item(item=item, by=item.member, at=now(), count=1)


@pytest.mark.parametrize("field", ["member", "revision", "release", "id"])
def test_T25_a_field_that_is_not_to_be_changed_is_refused(field):
    item = CabinetItemFactory()
    with refused(InvalidField, field=field):
        actions.change_item(item=item, by=item.member, at=now(), **{field: 2})


@pytest.mark.parametrize(
    ("said", "field"),
    [({"condition": "worn"}, "condition"), ({"count": 0}, "count"), ({"count": "2"}, "count"),
     ({"count": 2, "to_swap": 3}, "to_swap"), ({"to_swap": -1}, "to_swap"), ({"note": "a\x00"}, "note")],
)  # fmt: skip
def test_an_item_that_makes_no_sense_is_refused(said, field):
    by, release = MemberFactory(), ReleaseFactory()
    with refused(InvalidField, field=field):
        put(by, release=release, **said)


def test_a_variant_of_another_release_and_an_example_of_another_member_are_refused():
    by, release, variant, example = MemberFactory(), ReleaseFactory(), VariantFactory(), ExampleFactory()
    with refused(InvalidField, field="variant", says=[variant.public_id]):
        put(by, release=release, variant=variant)
    with refused(InvalidField, field="example", says=[example.public_id]):
        put(by, release=example.release, example=example)
