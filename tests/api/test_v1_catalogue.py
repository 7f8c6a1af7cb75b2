"""Makers, lines, castings, releases, assortments, packs, traits and states over the API."""

import pytest

from registry.models import Acceptance, Casting, Release, State, Trait
from tests.factories import (
    AssortmentItemFactory,
    CastingFactory,
    LineFactory,
    MakerFactory,
    MemberFactory,
    ModeratorFactory,
    PackContentFactory,
    ReleaseFactory,
    StateFactory,
    TraitFactory,
    states_of,
)

from .caller import Caller, pages, problem

pytestmark = pytest.mark.django_db

NOUNS = {
    "makers": MakerFactory,
    "lines": LineFactory,
    "castings": CastingFactory,
    "releases": ReleaseFactory,
    "assortments": lambda: AssortmentItemFactory().assortment,
    "packs": lambda: PackContentFactory().pack,
    "traits": TraitFactory,
    "states": StateFactory,
}


@pytest.fixture
def moderator():
    return Caller(ModeratorFactory())


@pytest.mark.parametrize("noun", NOUNS)
def test_a_list_shows_each_record_as_its_own_address_does(noun):
    row = NOUNS[noun]()
    listed = {one["id"]: one for one in pages(Caller(), f"/v1/{noun}")}
    assert listed[row.public_id] == Caller().get(f"/v1/{noun}/{row.public_id}").json()


@pytest.mark.parametrize("noun", NOUNS)
def test_a_list_costs_the_same_however_long_it_is(noun, django_assert_num_queries, queries_of):
    NOUNS[noun]()
    NOUNS[noun]()
    few = queries_of(lambda: Caller().get(f"/v1/{noun}"))
    for _ in range(18):
        NOUNS[noun]()
    assert queries_of(lambda: Caller().get(f"/v1/{noun}")) == few <= 6


def test_moderators_enter_a_whole_catalogue(moderator):
    maker = moderator.post("/v1/makers", {"name": "Otterholm Tinworks"}).json()["id"]
    line = moderator.post("/v1/lines", {"maker": maker, "name": "Quayside 64", "scale": 64}).json()["id"]
    wheels = {
        "line": line,
        "key": "wheels",
        "name": "Wheels",
        "place": "front_wheel",
        "kind": "wheel",
        "alterable": True,
    }
    trait = moderator.post("/v1/traits", wheels).json()["id"]
    colour = {"trait": trait, "key": "chrome", "name": "chrome", "lab": [8000, 0, -100], "lab_tolerance": 300}
    state = moderator.post("/v1/states", colour).json()
    assert (state["lab_l"], state["lab_b"]) == (8000, -100)
    casting = {
        "maker": maker,
        "name": "Brinewagon",
        "what": "salt lorry",
        "nicknames": ["salter"],
        "wheelbase_um": 41_000,
    }
    casting = moderator.post("/v1/castings", casting).json()["id"]
    issue = {"casting": casting, "line": line, "name": "Brinewagon", "number": "Q64-1", "year": 2025}
    made = moderator.post("/v1/releases", issue)
    assert made.status_code == 201
    release = made.json()["id"]
    assert made["Location"] == f"/v1/releases/{release}"
    mix = {
        "line": line,
        "name": "Neap tide",
        "opens_on": "2025-02-01",
        "items": [{"release": release, "per_case": 2}],
    }
    assortment = moderator.post("/v1/assortments", mix).json()
    assert assortment["items"] == [{"release": release, "per_case": 2}]
    card = {
        "line": line,
        "name": "Single card",
        "kind": "single_card",
        "gtin": "629104150021 3",
        "contents": [{"release": release}],
    }
    pack = moderator.post("/v1/packs", card).json()
    assert (pack["gtin"], pack["contents"]) == ("06291041500213", [{"release": release, "count": 1}])
    shown = Caller().get(f"/v1/releases/{release}").json()
    assert (shown["assortments"], shown["packs"]) == ([assortment["id"]], [pack["id"]])
    adopted = Caller().get(f"/v1/releases/{release}/traits").json()["results"]
    assert [one["trait"]["key"] for one in adopted] == ["wheels"]
    assert [one["key"] for one in adopted[0]["states"]] == ["chrome", "does_not_apply"]


def test_a_gtin_with_a_wrong_check_digit_is_refused_with_the_right_one(moderator):
    release = ReleaseFactory()
    card = {
        "line": release.line.public_id, "name": "Single card", "kind": "single_card", "gtin": "6291041500214",
        "contents": [{"release": release.public_id}],
    }  # fmt: skip
    told = problem(moderator.post("/v1/packs", card), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/gtin"
    assert "should be 3" in told["detail"]


def test_facts_are_added_to_a_release_and_to_a_pack(moderator):
    content = PackContentFactory()
    release, pack = f"/v1/releases/{content.release.public_id}", f"/v1/packs/{content.pack.public_id}"
    trait = TraitFactory(line=content.release.line, adopted_by=content.release)
    sale = {"region": "NL", "kind": "pulled", "on": "2025-05-04", "source": "a notice at the harbour kiosk"}
    assert moderator.post(f"{release}/availability", sale).json()["availability"][0]["kind"] == "pulled"
    assert moderator.post(f"{pack}/availability", sale).json()["availability"][0]["region"] == "NL"
    range_ = {
        "trait": trait.public_id,
        "low": 10,
        "high": 90,
        "unit": "gu",
        "note": "dull to bright",
        "source": "40 seen",
    }
    assert moderator.post(f"{release}/drifts", range_).json()["drifts"][0]["high"] == 90
    assert (
        moderator.post(f"{release}/sealed", {"sealed_unobtainable": True}).json()["sealed_unobtainable"]
        is True
    )
    versions = moderator.post(f"{pack}/versions", {"name": "second card", "language": "nl"}).json()[
        "versions"
    ]
    assert [version["name"] for version in versions] == ["second card"]


def test_an_adoption_may_say_otherwise_where_a_trait_is_seen(moderator):
    release = ReleaseFactory()
    trait = TraitFactory(line=release.line, seen_in_pack=True)
    said = {"trait": trait.public_id, "place": "tailgate", "note": "under the flap", "seen_in_pack": False}
    made = moderator.post(f"/v1/releases/{release.public_id}/traits", said)
    assert made.status_code == 201
    row = Caller().get(f"/v1/releases/{release.public_id}/traits").json()["results"][0]
    assert (row["place"], row["note"], row["seen_in_pack"]) == ("tailgate", "under the flap", False)


def test_fidelity_is_said_of_a_state_on_a_release(moderator):
    release = ReleaseFactory()
    state = StateFactory(trait=TraitFactory(line=release.line, adopted_by=release))
    address = f"/v1/releases/{release.public_id}/states/{state.public_id}"
    said = {
        "fidelity": "departs",
        "subject": "salt lorry of the Skerry works",
        "source": "its builder's plate",
    }
    assert moderator.put(address, said).status_code == 200
    shown = Caller().get(f"/v1/releases/{release.public_id}/states").json()["results"]
    assert shown == [{"state": state.public_id, "sample": None, **said}]
    told = problem(moderator.put(address, {"fidelity": "matches"}), 422, "validation-failed")
    assert told["errors"][0]["pointer"] == "/subject"
    problem(moderator.put(address, {}), 422, "validation-failed")


def test_a_proposal_is_accepted_once(moderator):
    casting = CastingFactory(acceptance=Acceptance.PROPOSED)
    address = f"/v1/castings/{casting.public_id}/accept"
    assert moderator.post(address).json()["acceptance"] == "accepted"
    problem(moderator.post(address), 409, "wrong-moment")
    rows = Caller().get("/v1/castings", {"acceptance": "proposed"}).json()["results"]
    assert rows == []


def twin_releases():
    line = LineFactory()
    return ReleaseFactory.create_batch(2, line=line, casting=CastingFactory(maker=line.maker))


@pytest.mark.parametrize(
    ("noun", "pair"),
    [
        ("castings", lambda: CastingFactory.create_batch(2, maker=MakerFactory())),
        ("releases", lambda: twin_releases()),
        ("traits", lambda: TraitFactory.create_batch(2, line=LineFactory())),
        ("states", lambda: states_of(TraitFactory(), "anchor", "ancre")),
    ],
)  # fmt: skip
def test_what_was_merged_leads_to_what_took_its_place(noun, pair, moderator):
    one, other = pair()
    address = f"/v1/{noun}/{one.public_id}"
    merged = moderator.post(f"{address}/merge", {"into": other.public_id})
    assert merged.json()["id"] == other.public_id, merged.content
    answer = Caller().get(address)
    assert (answer.status_code, answer["Location"]) == (301, f"/v1/{noun}/{other.public_id}")
    told = problem(moderator.patch(address, {"name": "x"}, match="*"), 409, "identity-moved")
    assert told["moved_to"] == f"/v1/{noun}/{other.public_id}"
    assert one.public_id not in [row["id"] for row in pages(Caller(), f"/v1/{noun}")]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"maker": "maker"}, True),
        ({"line": "line"}, True),
        ({"casting": "casting"}, True),
        ({"assortment": "assortment"}, True),
        ({"pack": "pack"}, True),
        ({"acceptance": "accepted"}, True),
        ({"acceptance": "proposed"}, False),
    ],
)
def test_releases_are_filtered_by_all_that_they_belong_to(query, found):
    item = AssortmentItemFactory()
    release = item.release
    pack = PackContentFactory(release=release).pack
    known = {
        "maker": release.line.maker, "line": release.line, "casting": release.casting, "assortment": item.assortment,
        "pack": pack,
    }  # fmt: skip
    asked = {name: known[value].public_id if value in known else value for name, value in query.items()}
    other = ReleaseFactory()
    rows = [row["id"] for row in Caller().get("/v1/releases", asked).json()["results"]]
    assert (release.public_id in rows) is found
    assert (other.public_id in rows) is (query == {"acceptance": "accepted"})


def test_words_find_what_the_moderator_entered(moderator):
    maker = MakerFactory()
    moderator.post(
        "/v1/castings", {"maker": maker.public_id, "name": "Kelp Runner", "nicknames": ["seaweed sled"]}
    )
    CastingFactory(maker=maker)
    for words in ("kelp", "SEAWEED", "runner kelp"):
        rows = Caller().get("/v1/castings", {"q": words}).json()["results"]
        assert [row["name"] for row in rows] == ["Kelp Runner"]
    hits = Caller().get("/v1/search", {"q": "seaweed"}).json()["results"]
    assert [(hit["kind"], hit["title"]) for hit in hits] == [("casting", "Kelp Runner")]
    assert Caller().get(hits[0]["address"]).json()["name"] == "Kelp Runner"


@pytest.mark.parametrize(
    "query", [{}, {"q": ""}, {"q": "x" * 101}, {"q": "kelp", "kind": "boat"}, {"q": "kelp", "limit": "0"}]
)
def test_a_search_without_usable_words_is_400(query):
    problem(Caller().get("/v1/search", query), 400, "parameter-out-of-range")


KEYS = {
    "makers": {"name": "Grebe Works"},
    "castings": {"name": "Foghorn"},
    "releases": {"name": "Foghorn", "year": 2025},
    "traits": {"key": "k", "name": "n", "place": "roof", "kind": "print"},
}


@pytest.mark.parametrize("noun", KEYS)
@pytest.mark.parametrize(
    "key", ["standing", "is_staff", "role", "owner", "weight", "id", "public_id", "acceptance"]
)
def test_T25_a_key_that_is_not_writable_is_422_and_nothing_is_changed(noun, key, moderator):
    told = problem(moderator.post(f"/v1/{noun}", {**KEYS[noun], key: "x"}), 422, "validation-failed")
    assert [entry["pointer"] for entry in told["errors"]] == [f"/{key}"]
    assert [
        Casting.objects.count(),
        Release.objects.count(),
        Trait.objects.filter(line__isnull=False).count(),
    ] == [0] * 3


def test_members_do_not_enter_the_catalogue():
    problem(Caller(MemberFactory()).post("/v1/makers", {"name": "Grebe Works"}), 403, "role-required")
    assert not State.objects.filter(is_built_in=False, trait__line__isnull=False).exists()
