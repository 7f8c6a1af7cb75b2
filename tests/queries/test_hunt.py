"""What is still missing: at each depth, by assortment, told in one line, in pages of a fixed number of queries."""

from datetime import date

import pytest
from django.db.models import Q

from registry.models import Availability, CabinetItem, Hunt, PackVersion, Variant
from registry.queries.hunt import hunt_of, hunt_page
from registry.queries.telling import tell_releases
from tests.factories import (
    NOON,
    AssortmentFactory,
    AssortmentItemFactory,
    CabinetItemFactory,
    HuntFactory,
    MemberFactory,
    PackContentFactory,
    ReleaseFactory,
    VariantFactory,
)
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    return MemberFactory()


def own(member, variant=None, release=None, **more):
    return CabinetItemFactory(member=member, release=release or variant.release, variant=variant, **more)


def missing(member, depth="change", traits=(), **chosen):
    hunt, _ = Hunt.objects.update_or_create(member=member, defaults={"depth": depth, "revision": 1, **chosen})
    hunt.traits.set(traits)
    return [(each.kind, str(each.thing)) for row in hunt_page(hunt_of(member)).rows for each in row.missing]


def variants(found):
    assert {kind for kind, _ in found} <= {"variant"}
    return [name for _, name in found]


def test_at_each_depth_what_is_owned_is_no_longer_missing(member):
    shelf = Shelf()
    assert [name for kind, name in missing(member, "casting")] == [shelf.release.casting.name]
    assert missing(member, "release") == [("release", str(shelf.release))]
    assert variants(missing(member)) == ["First", "Silver wheels", "Dated base", "Blue crest"]
    own(member, shelf.variants["Silver wheels"])
    assert variants(missing(member)) == ["First", "Dated base", "Blue crest"]
    assert missing(member, "casting") == missing(member, "release") == []
    wheels = [shelf.trait("wheels")]
    assert variants(missing(member, "traits", wheels)) == ["First"]
    assert variants(missing(member, "traits", [shelf.trait("base")])) == ["Dated base"]
    row = hunt_page(hunt_of(member)).rows[0]
    assert (row.owned, row.known) == (1, 2)
    own(MemberFactory(), shelf.variants["First"])
    assert len(variants(missing(member))) == 3


def test_where_only_some_details_count_others_that_would_do_are_named(member):
    shelf = Shelf()
    missing(member, "traits", [shelf.trait("wheels")])
    row = hunt_page(hunt_of(member)).rows[0]
    told = {each.thing.title: [other.title for other in each.or_else] for each in row.missing}
    assert told == {"First": ["Dated base"], "Silver wheels": ["Blue crest"]}


def test_where_only_some_details_count_these_alone_tell_what_to_look_for(member):
    shelf = Shelf()
    missing(member, "traits", [shelf.trait("wheels")])
    row = hunt_page(hunt_of(member)).rows[0]
    assert [(each.tell, each.in_pack) for each in row.missing] == [
        ("Front wheels: gold", True),
        ("Front wheels: silver", True),
    ]
    missing(member, "traits", [shelf.trait("length")])
    (only,) = hunt_page(hunt_of(member)).rows[0].missing
    assert (str(only.tell), only.in_pack) == ("any of its variants", None)


def test_where_only_some_details_count_what_is_not_hunted_is_told_apart_too(member):
    """An error with other wheels would not do, though it is not looked for; one with the same wheels is not named."""
    shelf = Shelf({"First": {"wheels": "gold"}, "Wrong": {"wheels": "silver"}})
    Variant.objects.filter(title="Wrong").update(cause="factory_error", standing="set_apart")
    missing(member, "traits", [shelf.trait("wheels")])
    (only,) = hunt_page(hunt_of(member)).rows[0].missing
    assert (only.tell, only.in_pack) == ("Front wheels: gold", True)
    missing(member, "traits", [shelf.trait("crest")])
    (only,) = hunt_page(hunt_of(member)).rows[0].missing
    assert (str(only.tell), only.in_pack) == ("any of those named here", None)


def test_each_is_told_in_one_line_and_whether_it_shows_in_the_pack(member):
    shelf = Shelf()
    row = hunt_page(hunt_of(member)).rows[0]
    told = {each.thing.title: (each.tell, each.in_pack) for each in row.missing}
    assert told["Blue crest"] == ("Roof crest: blue", True)
    assert told["Dated base"] == ("Base text: dated", False)
    assert told["Silver wheels"][0] in (
        "Roof crest: red; Front wheels: silver",
        "Front wheels: silver; Roof crest: red",
    )
    VariantFactory(release=shelf.release, title="Bare")
    bare = hunt_page(hunt_of(member)).rows[0].missing[-1]
    assert (bare.in_pack, bare.tell) == (
        None,
        "may as well be First, Silver wheels, Dated base or 1 more",
    )


def test_one_that_is_not_checked_yet_leaves_all_missing_and_is_told(member):
    shelf = Shelf()
    own(member, release=shelf.release, count=2)
    row = hunt_page(hunt_of(member)).rows[0]
    assert (row.unchecked, len(row.missing), row.owned) == (2, 4, 0)
    assert missing(member, "release") == []


def test_errors_and_samples_count_only_where_asked_for_and_alterations_never(member):
    shelf = Shelf({"First": {"wheels": "gold"}})
    for cause, standing in [
        ("factory_error", "set_apart"), ("pre_production", "set_apart"), ("altered", "set_apart"),
        ("factory_error", "provisional"), ("drift", "provisional"), ("running_change", "struck"),
        ("running_change", "contested"), ("parallel", "verified"), ("", "provisional"),
    ]:  # fmt: skip
        VariantFactory(release=shelf.release, cause=cause, standing=standing, title=f"{cause} {standing}")
    plain = ["First", "running_change contested", "parallel verified", " provisional"]
    assert sorted(variants(missing(member))) == sorted(plain)
    errors = ["factory_error set_apart", "factory_error provisional"]
    assert sorted(variants(missing(member, with_errors=True))) == sorted(plain + errors)
    samples = ["pre_production set_apart"]
    assert sorted(variants(missing(member, with_errors=False, with_samples=True))) == sorted(plain + samples)


def test_a_version_of_the_pack_counts_once_and_not_with_every_variant(member):
    shelf = Shelf()
    pack = PackContentFactory(release=shelf.release).pack
    first, second = (PackVersion.objects.create(pack=pack, name=n, card_art=f"art {n}") for n in ("I", "II"))
    own(member, shelf.variants["First"], pack_version=first)
    found = missing(member, "pack")
    assert found[-1] == ("packversion", str(second))
    assert len(found) == 4
    for variant in shelf.variants.values():
        own(member, variant)
    assert missing(member, "pack") == [("packversion", str(second))]
    assert hunt_page(hunt_of(member)).rows[0].missing[0].tell == "card: art II"
    own(member, release=shelf.release, pack_version=second)
    assert missing(member, "pack") == []


def test_owning_a_merged_variant_is_owning_its_survivor(member):
    shelf = Shelf()
    old = VariantFactory(release=shelf.release, standing="merged", merged_into=shelf.variants["First"])
    own(member, old)
    assert "First" not in variants(missing(member))


def test_what_was_never_released_is_not_missing_and_what_has_no_variant_yet_is(member):
    bare, never = ReleaseFactory(), ReleaseFactory()
    Availability.objects.create(
        release=never, region="world", kind="never_released", on=date(2025, 1, 1), source="a sheet",
        added_by=member,
    )  # fmt: skip
    assert missing(member) == [("release", str(bare))]
    own(member, release=bare)
    assert missing(member) == []


def test_it_goes_by_assortment_the_newest_first_and_only_in_the_lines_one_collects(member):
    shelf, later = Shelf(), AssortmentFactory
    first = AssortmentItemFactory(release=shelf.release).assortment
    second = AssortmentItemFactory(
        release=shelf.release, assortment=later(line=shelf.release.line)
    ).assortment
    loose = ReleaseFactory(line=shelf.release.line)
    other = ReleaseFactory()
    places = [(row.assortment, row.release) for row in hunt_page(hunt_of(member)).rows]
    assert places == [(second, shelf.release), (first, shelf.release), (None, loose), (None, other)]
    hunt = HuntFactory(member=member)
    hunt.lines.set([shelf.release.line])
    places = [(row.assortment, row.release) for row in hunt_page(hunt_of(member)).rows]
    assert places == [(second, shelf.release), (first, shelf.release), (None, loose)]
    only = hunt_page(hunt_of(member), assortment=first).rows
    assert [(row.assortment, row.per_case) for row in only] == [(first, 2)]


def test_its_pages_hold_everything_once_and_refuse_a_place_made_up(member):
    assortment = AssortmentFactory()
    for _ in range(5):
        AssortmentItemFactory(release=ReleaseFactory(line=assortment.line), assortment=assortment)
    AssortmentItemFactory(release=ReleaseFactory(line=assortment.line))
    ReleaseFactory.create_batch(4)
    whole = [(row.assortment, row.release) for row in hunt_page(hunt_of(member)).rows]
    assert len(whole) == 10
    for limit in (1, 3, 5, 6, 10):
        found, after = [], ""
        while after is not None:
            page = hunt_page(hunt_of(member), after, limit=limit)
            assert len(page.rows) <= limit
            found += [(row.assortment, row.release) for row in page.rows]
            after = page.after
        assert found == whole
    with pytest.raises(ValueError, match="not made here"):
        hunt_page(hunt_of(member), "WzEsMl0:made-up")


@pytest.mark.parametrize("depth", ["casting", "release", "change", "pack", "traits"])
def test_a_page_costs_the_same_however_much_is_listed_and_owned(member, depth, django_assert_num_queries):
    def fill(n):
        for _ in range(n):
            shelf = Shelf({"First": {"wheels": "gold"}, "Second": {"wheels": "tan"}})
            AssortmentItemFactory(release=shelf.release)
            pack = PackContentFactory(release=shelf.release).pack
            PackVersion.objects.create(pack=pack, name="I")
            ReleaseFactory()
            CabinetItem.objects.bulk_create(
                CabinetItem(
                    member=member,
                    release=shelf.release,
                    variant=shelf.variants["First"],
                    condition="loose",
                    added_at=NOON,
                    changed_at=NOON,
                )  # fmt: skip
                for _ in range(n)
            )

    hunt = HuntFactory(member=member, depth=depth)
    fill(1)
    hunt.traits.set(Variant.objects.first().claims.values_list("trait", flat=True))
    queries = 10 if depth == "pack" else 9
    with django_assert_num_queries(queries):
        assert hunt_page(hunt_of(member), limit=5).rows
    fill(3)
    with django_assert_num_queries(queries):
        assert hunt_page(hunt_of(member), limit=5).rows or depth == "casting"


def test_of_very_many_variants_the_named_difference_is_told(member, monkeypatch):
    monkeypatch.setattr("registry.methods.hunting.MOST_COMPARED", 3)
    shelf = Shelf()
    shelf.variants["Blue crest"].claims.filter(trait__key="crest").update(is_difference=True)
    key = shelf.release.pk
    told = {each.variant.title: each.tell for each in tell_releases([key], Q(pk__gt=0)).wanted[key]}
    assert told["Blue crest"] == "Roof crest: blue"
    assert told["First"] == ""
