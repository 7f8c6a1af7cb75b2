"""In which order, how common, and what was seen first: pages without scripts, and files to keep."""

import csv
import io
import re
from datetime import date
from xml.etree import ElementTree

import pytest

from registry import actions
from registry.models import Acceptance, CountLine, VariantStanding
from tests.factories import (
    AssortmentItemFactory,
    PackContentFactory,
    ReleaseFactory,
    ReviewerFactory,
    SightingFactory,
    StatementFactory,
    VariantFactory,
)
from tests.path import now

pytestmark = pytest.mark.django_db
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def release():
    return ReleaseFactory()


@pytest.fixture
def trio(release):
    return [VariantFactory(release=release, title=title) for title in ("Anchor", "Gull", "Chrome")]


def see(variant, n=1, **fields):
    sighting = SightingFactory(release=variant.release, **fields)
    CountLine.objects.create(sighting=sighting, kind="variant", n=n).variants.add(variant)


def words(page):
    """The page's text as one line, without its markup."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.text))


def test_production_and_shipping_are_told_apart(client, release, trio):
    StatementFactory(variant=trio[0], other=trio[1], source_kind="makers_notice", source="trade sheet")
    see(trio[0], seen_on=date(2025, 3, 2), country="NL")
    page = words(client.get(f"/releases/{release.public_id}/order"))
    made, _, rest = page.partition("As they were shipped")
    assert "3 orders of the 3 variants fit what is known" in made
    assert "Nothing is known of it yet: any order of the 3 variants fits" in rest
    assert "by 2 Mar 2025" in rest
    assert "Anchor was made before Gull a notice of the maker: trade sheet" in rest
    assert "cannot all hold" not in page


def test_an_impossible_order_names_the_statements_and_which_to_doubt(client, release, trio):
    a, b, c = trio
    circle = [StatementFactory(variant=one, other=other) for one, other in ((a, b), (b, c), (c, a))]
    for statement in circle[:2]:
        actions.cast_vote(
            statement=statement, by=ReviewerFactory(), verdict="confirms", basis="photo", at=now()
        )
    answer = client.get(f"/releases/{release.public_id}/order")
    page = words(answer)
    assert "These 3 cannot all hold" in page
    for sentence in ("Anchor was shipped before Gull", "Gull was shipped before Chrome"):
        assert sentence in page
    assert "Doubt first, as the least supported: Chrome was shipped before Anchor." in page
    assert (
        "Left out of the order below, as what costs the least support: Chrome was shipped before Anchor"
        in page
    )
    assert answer.text.count('class="doubted"') == 1
    assert "said: shipped earlier" in page


def test_statements_with_equal_support_are_doubted_alike(client, release, trio):
    a, b, c = trio
    for one, other in ((a, b), (b, c), (c, a)):
        StatementFactory(variant=one, other=other)
    assert "none is to be doubted before the rest" in words(
        client.get(f"/releases/{release.public_id}/order")
    )


def test_packs_are_told_apart_by_more_than_colour(client, release, trio):
    pack = PackContentFactory(release=release, pack__kind="two_pack", pack__name="Pair").pack
    see(trio[1], pack=pack)
    StatementFactory(variant=trio[0], other=trio[1])
    answer = client.get(f"/releases/{release.public_id}/order")
    assert "double border: in sets of several only" in answer.text
    assert "seen in: two-pack" in words(answer)


def test_scarcity_is_said_in_plain_words_with_its_doubt(client, release, trio):
    for n in range(3):
        see(trio[0], 9, scope="case", is_full_count=True, country="NL", seen_on=date(2025, 3, 1 + n))
        see(trio[1], 3, scope="case", is_full_count=True, country="DK", seen_on=date(2025, 3, 1 + n))
    see(trio[2])
    trio[2].standing = VariantStanding.SET_APART
    trio[2].save()
    answer = client.get(f"/releases/{release.public_id}/scarcity")
    page = words(answer)
    assert re.search(r"Anchor (about \d in \d+|nearly all); \S+ .*?; from 36 examples in 6 cases", page)
    assert "Chrome (set apart) no estimate, only finds (1)" in page
    assert "Of 3 variants known from all reports, 2 were met in full counts." in page
    assert "By country" in page
    assert "By year" not in page
    assert not re.search(r"\b(price|worth|value|rare|rarity)", page.replace("No prices here", ""))


def test_where_no_second_variant_is_known_the_page_says_what_comparing_bounds(client, release):
    see(VariantFactory(release=release), 100, scope="case", is_full_count=True, cases_compared=10)
    page = words(client.get(f"/releases/{release.public_id}/scarcity"))
    assert "100 examples from 10 cases compared, no difference seen" in page
    assert "at most 1 in 33 of the items" in page


def test_an_empty_release_says_so_on_both_pages(client, release):
    assert "not two variants to put in order" in words(client.get(f"/releases/{release.public_id}/order"))
    assert "No variant is known yet" in words(client.get(f"/releases/{release.public_id}/scarcity"))


def test_a_merged_release_leads_to_its_survivor(client, release):
    merged = ReleaseFactory(acceptance=Acceptance.MERGED, merged_into=release)
    for name in ("order", "scarcity"):
        answer = client.get(f"/releases/{merged.public_id}/{name}")
        assert (answer.status_code, answer["Location"]) == (302, f"/releases/{release.public_id}")


def test_the_release_says_in_place_in_which_order_and_how_common(client, release, trio):
    see(trio[0], 5, scope="case", is_full_count=True)
    see(trio[1], 5, scope="case", is_full_count=True, seen_on=date(2025, 4, 1))
    row = client.get(f"/releases/{release.public_id}")
    assert row.text.count("<br>about 5 in 10") == 2
    assert f"/releases/{release.public_id}/order" in row.text
    assert "In which order they were made is not known." in row.text
    assert "As they were shipped" not in row.text
    assert 'aria-labelledby="scarcity-title scarcity-description"' in row.text
    StatementFactory(variant=trio[0], other=trio[1], source_kind="makers_notice", source="trade sheet")
    row = client.get(f"/releases/{release.public_id}")
    assert "As they were made: Anchor before Gull." in row.text
    assert 'aria-labelledby="order-production-title order-production-description"' in row.text
    beside = f'href="/releases/{release.public_id}#order-and-scarcity"'
    assert beside in client.get(f"/variants/{trio[1].public_id}").text


def test_an_assortment_shows_what_was_first_seen_when(client, release, trio):
    assortment = AssortmentItemFactory(release=release).assortment
    see(trio[1], seen_on=date(2025, 3, 2))
    see(trio[0], seen_on=date(2025, 5, 2))
    page = client.get(f"/assortments/{assortment.public_id}")
    assert words(page).index("Gull Brinewagon") < words(page).index("Anchor Brinewagon")
    file = client.get(f"/assortments/{assortment.public_id}/first-seen.csv")
    table = list(csv.DictReader(io.StringIO(file.text)))
    assert [(row["variant"], row["first_seen"]) for row in table] == [
        ("Gull", "2025-03-02"),
        ("Anchor", "2025-05-02"),
    ]
    drawn = ElementTree.fromstring(client.get(f"/assortments/{assortment.public_id}/first-seen.svg").content)  # noqa: S314
    assert len(drawn.findall(f"{SVG}circle")) == 2


@pytest.mark.parametrize("name", ["order", "scarcity"])
def test_drawings_stand_by_themselves(client, release, trio, name):
    trio[0].title = '<b>"Anchor" & Co</b>'
    trio[0].save()
    StatementFactory(variant=trio[0], other=trio[1])
    see(trio[0], 5, scope="case", is_full_count=True)
    answer = client.get(f"/releases/{release.public_id}/{name}.svg?dates=shipping")
    assert answer["Content-Type"] == "image/svg+xml"
    assert answer["Content-Disposition"].startswith("attachment; filename=")
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    drawn = ElementTree.fromstring(answer.content)  # noqa: S314  (our own, well formed or the test fails)
    assert drawn.find(f"{SVG}title").text
    assert '"Anchor"' in "".join(drawn.itertext())
    shapes = [
        one for one in drawn.iter() if one.tag.removeprefix(SVG) in ("rect", "line", "polyline", "circle")
    ]
    assert shapes
    assert all(one.get("fill") or one.get("stroke") for one in shapes)
    assert not [one for one in drawn.iter() if one.get("style")]


@pytest.mark.parametrize("name", ["order", "scarcity"])
def test_tables_are_kept_as_csv_that_no_spreadsheet_runs(client, release, trio, name):
    trio[0].title = "=SUM(A1)"
    trio[0].save()
    StatementFactory(variant=trio[0], other=trio[1])
    see(trio[0], 5, scope="case", is_full_count=True)
    answer = client.get(f"/releases/{release.public_id}/{name}.csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    table = list(csv.DictReader(io.StringIO(answer.text)))
    assert [row["variant"] for row in table] == ["'=SUM(A1)", "Gull", "Chrome"]
    if name == "order":
        assert table[1]["shipped_after"] == trio[0].public_id
        assert table[0]["shipped_first_to"] == "2025-03-10"
    else:
        assert (table[0]["share_in_10000"], table[1]["share_in_10000"]) == ("10000", "")
