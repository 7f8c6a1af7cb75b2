"""A file of what one owns: all of it or nothing, the same file twice is once, nobody else's entry is there (T26)."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.errors import SheetRefused, WrongMoment
from registry.methods.cabinet_sheet import write_cabinet
from registry.methods.identifiers import mint, show_id
from registry.models import CabinetItem, PackVersion
from registry.queries.cabinet import cabinet_rows
from tests.factories import CabinetItemFactory, MemberFactory, PackFactory, ReleaseFactory, VariantFactory
from tests.path import now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    return MemberFactory()


def bring(member, *rows, head="release,variant,condition,count,note", **more):
    data = "\n".join([head, *rows]).encode()
    return actions.import_cabinet(by=member, at=now(), data=data, **more)


def told(done):
    return (done.new, done.changed, done.known, len(done.faults))


def test_the_same_file_twice_is_once_and_what_is_equal_twice_in_it_is_two(member):
    variant = VariantFactory()
    rows = [
        f"{variant.release.public_id},{show_id(variant.public_id).upper()},loose,2,one chipped",
        f"{variant.release.public_id},,sealed,1,",
        f"{variant.release.public_id},,sealed,1,",
    ]
    assert told(bring(member, *rows, dry_run=True)) == (3, 0, 0, 0)
    assert not CabinetItem.objects.exists()
    assert told(bring(member, *rows)) == (3, 0, 0, 0)
    assert told(bring(member, *rows)) == (0, 0, 3, 0)
    found = CabinetItem.objects.order_by("pk").values_list("member", "variant", "condition", "count", "note")
    assert list(found) == [
        (member.pk, variant.pk, "loose", 2, "one chipped"),
        (member.pk, None, "sealed", 1, ""),
        (member.pk, None, "sealed", 1, ""),
    ]


def test_T28_what_was_taken_along_comes_back_equal_and_one_changed_row_changes_one_entry(member):
    variant = VariantFactory(title="=1+1")
    version = PackVersion.objects.create(pack=PackFactory(), name="second card")
    CabinetItemFactory(
        member=member, release=variant.release, variant=variant, note="=HYPERLINK(1)", wear="@x"
    )
    CabinetItemFactory(member=member, release=variant.release, pack_version=version, count=3, to_swap=1)
    CabinetItemFactory(note="not mine")
    data = write_cabinet(cabinet_rows(member))
    assert b"not mine" not in data
    assert b'"\'=HYPERLINK(1)"' in data
    assert told(actions.import_cabinet(by=member, at=now(), data=data)) == (0, 0, 2, 0)
    edited = data.replace(b'"3","1"', b'"4","2"')
    assert told(actions.import_cabinet(by=member, at=now(), data=edited)) == (0, 1, 1, 0)
    changed = CabinetItem.objects.get(pack_version=version)
    assert (changed.count, changed.to_swap, changed.revision) == (4, 2, 2)
    assert CabinetItem.objects.get(variant=variant).note == "=HYPERLINK(1)"


def test_every_slip_is_named_by_row_column_value_and_remedy_and_nothing_is_kept(member):
    release, other = ReleaseFactory(), VariantFactory()
    mine = CabinetItemFactory(member=member, release=release)
    nothing = mint()
    good = f"{release.public_id},,loose,1,,"
    rows = [
        good,
        f"{nothing},,loose,1,,",
        "Brinewagon,,loose,1,,",
        f"{release.public_id},{other.public_id},loose,1,,",
        f"{release.public_id},,worn,1,,",
        f"{release.public_id},,loose,0,,",
        f"{release.public_id},,loose,1,,4k7d",
        f"{other.release.public_id},,loose,1,,{mine.public_id}",
        f"{release.public_id},,loose,1,,{mine.public_id}",
    ]
    head = "release,variant,condition,count,note,id"
    done = bring(member, *rows, head=head, dry_run=True)
    assert [(fault.line, fault.field) for fault in done.faults] == [
        (3, "release"), (4, "release"), (5, "variant"), (6, "condition"), (7, "count"), (8, "id"),
        (9, "release"), (10, "id"),
    ]  # fmt: skip
    assert all(fault.value and fault.remedy for fault in done.faults)
    assert not [fault for fault in done.faults if ".." in str(fault)]
    with refused(SheetRefused, says=["8 of the rows", "Line 3"]):
        bring(member, *rows, head=head)
    assert CabinetItem.objects.filter(member=member).count() == 1


def test_what_was_taken_along_fills_an_emptied_cabinet_or_another_accounts_and_once(member):
    variant, other = VariantFactory(), MemberFactory()
    mine = CabinetItemFactory(member=member, release=variant.release, variant=variant, note="first")
    CabinetItemFactory(member=member, release=variant.release, count=3)
    data = write_cabinet(cabinet_rows(member))
    mine.delete()
    for owner, comes_to in ((member, (1, 0, 1, 0)), (other, (2, 0, 0, 0))):
        assert told(actions.import_cabinet(by=owner, at=now(), data=data)) == comes_to
        assert told(actions.import_cabinet(by=owner, at=now(), data=data)) == (0, 0, 2, 0)
        held = {(row["variant"], row["count"], row["note"]) for row in cabinet_rows(owner)}
        assert held == {
            (variant.public_id, 1, "first"),
            (None, 3, ""),
        }


def test_a_full_cabinet_takes_no_more(member, monkeypatch):
    monkeypatch.setattr("registry.actions.cabinet.MOST_ITEMS", 2)
    release = ReleaseFactory()
    with refused(WrongMoment, says=["2 entries"]):
        bring(member, *[f"{release.public_id},,loose,{n}," for n in (1, 2, 3)])
    actions.put_item(by=member, at=now(), release=release, condition="loose")
    actions.own_one(by=member, at=now(), release=release, condition="sealed")
    with refused(WrongMoment):
        actions.put_item(by=member, at=now(), release=release, condition="boxed")


def test_a_file_costs_the_same_queries_however_long_it_is(member):
    def cost(n):
        rows = [f"{VariantFactory().release.public_id},,loose,1," for _ in range(n)]
        with CaptureQueriesContext(connection) as captured:
            bring(member, *rows)
        return len(captured)

    assert cost(2) == cost(12)


def test_one_tap_says_that_one_owns_it_and_a_second_changes_nothing(member):
    variant = VariantFactory()
    said = {"by": member, "release": variant.release, "variant": variant}
    first = actions.own_one(**said, at=now(), condition="loose")
    assert actions.own_one(**said, at=now(), condition="loose") == first
    assert actions.own_one(**said, at=now(), condition="sealed") != first
    assert actions.own_one(by=member, at=now(), release=variant.release, condition="loose").variant is None
    assert CabinetItem.objects.filter(member=member).count() == 3
