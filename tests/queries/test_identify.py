"""Which one is it: what the record says of variants, as identify reads and answers it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.errors import InvalidField, UnknownReference
from registry.methods.identify import Need, Seen, identify
from registry.models import (
    Claim,
    ClaimStanding,
    Confusion,
    Fit,
    FitAdoption,
    Policy,
    State,
    VariantStanding,
)
from registry.queries.identify import Question, Scope, answer, answers, checks_of, known_in, reading
from tests.factories import NOON, CastingFactory, ModeratorFactory, PackContentFactory, ReleaseFactory
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return Shelf()


def of(shelf):
    return Scope("release", shelf.release.public_id)


def ask(shelf, scope=None, **more):
    observed = shelf.said(**more.pop("seen", {}))
    return answer(Question(scope or of(shelf), observed, **more))


def first(told):
    return told["ranking"][0]["title"]


def test_the_variant_that_has_all_of_what_was_seen_comes_first(shelf):
    told = ask(shelf, seen={"wheels": "silver", "crest": "blue"})
    assert first(told) == "Blue crest"
    assert told["ranking"][0]["for"] == [
        "Front wheels, silver on this one: speaks for it.",
        "Roof crest, blue on this one: speaks for it.",
    ]
    assert told["fitting"] == 1


def test_probabilities_sum_to_one_with_that_of_none_of_them(shelf):
    told = ask(shelf, seen={"wheels": "gold"})
    total = sum(each["probability"] for each in told["ranking"]) + told["not_listed"]["probability"]
    assert abs(total - 10_000) <= len(told["ranking"])  # each is rounded by itself


def test_the_answer_is_what_the_pure_method_gives_for_the_same_table(shelf):
    known = known_in(of(shelf))
    wheels = shelf.states["wheels", "silver"]
    seen = [Seen(wheels.trait.public_id, wheels.public_id)]
    expected = identify(known.expectations(), seen)
    told = ask(shelf, seen={"wheels": "silver"})
    assert [each["probability"] for each in told["ranking"]] == [
        round(each.posterior * 10_000) for each in expected.candidates
    ]


def test_what_is_seen_through_the_pack_is_asked_first_when_it_is_shut(shelf):
    told = ask(shelf, seen={"wheels": "gold", "crest": "red"}, can=frozenset())
    assert told["next_check"] is None
    assert told["advice"]["missing"] == ["loose", "base_visible"]
    assert ask(shelf, seen={"wheels": "gold", "crest": "red"})["next_check"]["name"] == "Base text"


def test_a_finish_needs_a_light_from_the_side():
    shelf = Shelf({"Matte": {"coat": "matte"}, "Glossy": {"coat": "gloss"}})
    assert known_in(of(shelf)).details[shelf.traits["coat"].public_id].needs == {Need.RAKING_LIGHT}


def test_nothing_seen_leaves_the_priors(shelf):
    told = ask(shelf)
    assert {each["probability"] for each in told["ranking"]} == {2375}
    assert told["not_listed"] == {"probability": 500, "is_likeliest": False}
    assert told["summary"].startswith("Nothing has been seen yet")


def test_full_counts_make_what_is_common_likelier_and_flat_leaves_them_out(shelf):
    for _ in range(4):
        shelf.count(First=12, Silver_wheels=2)
    common, flat = ask(shelf), ask(shelf, flat=True)
    assert first(common) == "First"
    assert common["ranking"][0]["probability"] > 5000
    assert len({each["probability"] for each in flat["ranking"]}) == 1


def test_counts_with_items_of_none_of_the_known_make_not_listed_likelier(shelf):
    shelf.count(First=6, Silver_wheels=6)
    before = ask(shelf)["not_listed"]["probability"]
    shelf.count(First=6, none=6)
    assert ask(shelf)["not_listed"]["probability"] > before


def test_a_refuted_claim_says_nothing_and_a_variant_that_is_gone_is_not_meant(shelf):
    Claim.objects.filter(variant=shelf.variants["Blue crest"]).update(standing=ClaimStanding.REFUTED)
    struck = shelf.variants["Dated base"]
    struck.standing = VariantStanding.STRUCK
    struck.save()
    known = known_in(of(shelf))
    assert len(known.variants) == 3
    assert (known.table.cells[2] == -1).all()


def test_a_merged_trait_and_state_stand_under_their_survivors(shelf):
    gilt = shelf.state("wheels", "gilt")
    State.objects.filter(pk=gilt.pk).update(acceptance="merged", merged_into=shelf.states["wheels", "gold"])
    twin = Shelf({}, ReleaseFactory(line=shelf.release.line)).state("rims", "bare").trait
    type(twin).objects.filter(pk=twin.pk).update(acceptance="merged", merged_into=shelf.traits["wheels"])
    told = answer(Question(of(shelf), {twin.public_id: {"state": "gilt"}}))
    assert told["ranking"][0]["for"] == ["Front wheels, gold on this one: speaks for it."]


def test_contradictory_observations_are_answered_and_said_to_fit_none(shelf):
    told = ask(shelf, seen={"wheels": "gold", "crest": "blue"})
    assert told["fitting"] == 0
    assert "No listed variant has all of this" in told["summary"]


def test_a_state_that_no_variant_here_has_speaks_for_none_of_them(shelf):
    shelf.state("wheels", "white")
    told = ask(shelf, seen={"wheels": "white"})
    assert told["not_listed"]["probability"] > 1_000
    assert told["fitting"] == 0


def test_not_sure_between_two_rules_the_others_down_only(shelf):
    shelf.add("White wheels", wheels="white", crest="red", base="plain")
    told = answer(Question(of(shelf), {"wheels": {"states": ["gold", "silver"]}}))
    assert told["ranking"][-1]["title"] == "White wheels"


@pytest.mark.parametrize("said", [{"not_sure": True}, {"not_visible": True}])
def test_not_sure_and_not_visible_tell_nothing_and_are_not_asked_again(shelf, said):
    told = answer(Question(of(shelf), {trait: said for trait in shelf.traits}))
    assert {each["probability"] for each in told["ranking"]} == {2375}
    assert told["next_check"] is None


def test_a_measure_with_its_error_ranks_by_distance():
    shelf = Shelf({})
    for title, key, number in (("Short", "short", 31_000), ("Long", "long", 32_000)):
        shelf.state("length", key, number=number, unit="um", number_tolerance=100)
        shelf.add(title, length=key)
    told = answer(Question(of(shelf), {"length": {"value": 31_900, "error": 150}}))
    assert first(told) == "Long"


def test_a_detail_of_which_no_variant_is_known_tells_nothing(shelf):
    glass = shelf.state("glass", "clear").trait
    told = answer(Question(of(shelf), {"glass": {"none_of_these": True}}))
    assert told["tells_nothing"] == [glass.public_id]


def test_a_state_of_another_casting_is_refused_by_name(shelf):
    other = Shelf({"Red": {"crest": "anchor"}}, ReleaseFactory())
    foreign = other.states["crest", "anchor"].public_id
    with pytest.raises(UnknownReference) as refusal:
        answer(Question(of(shelf), {"crest": {"state": foreign}}))
    assert f"a state of Roof crest of {other.release.line}" in str(refusal.value)
    assert refusal.value.field == "observed.crest"


@pytest.mark.parametrize(
    ("observed", "words"),
    [
        ({"spoiler": {"state": "red"}}, "It is no detail of these"),
        ({"crest": {"state": "green"}}, "Known: "),
        ({"crest": {}}, "Say one of"),
        ({"crest": {"state": "red", "not_sure": True}}, "Say one of"),
        ({"crest": {"value": 3.0}}, "needs its error"),
        ({"crest": {"value": 3.0, "error": 1.0}}, "no state of"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(shelf, observed, words):
    with pytest.raises(InvalidField, match=words):
        answer(Question(of(shelf), observed))


def test_a_key_that_several_castings_have_must_be_named_by_id():
    line = Shelf().release.line
    castings = CastingFactory.create_batch(2, maker=line.maker)
    for casting in castings:
        release = ReleaseFactory(line=line, casting=casting)
        trait = Shelf({}, release).state("pump", "brass").trait
        type(trait).objects.filter(pk=trait.pk).update(line=None, casting=casting, key="pipe")
    with pytest.raises(InvalidField, match="Several details here have this key"):
        answer(Question(Scope("line", line.public_id), {"pipe": {"not_sure": True}}))


def test_states_that_voters_take_for_one_another_tell_less_once_a_fit_is_adopted(shelf):
    gold, silver = shelf.states["wheels", "gold"], shelf.states["wheels", "silver"]
    wide = Scope("line", shelf.release.line.public_id)
    before = ask(shelf, seen={"wheels": "gold"})
    assert known_in(wide).confusion == {}
    fit = Fit.objects.create(
        number=1, made_at=NOON, policy=Policy.objects.latest("version"), cut=1, claims=1, votes=1, reviewers=1,
        known=0, prior=500_000, rounds=1, objective=0.0, converged=True, settings={}, digest="0" * 64,
    )  # fmt: skip
    for claimed, seen, votes in (
        (gold, gold, 60),
        (gold, silver, 40),
        (silver, silver, 60),
        (silver, gold, 40),
    ):
        Confusion.objects.create(
            fit=fit, trait=gold.trait, claimed=claimed, seen=seen, count=votes, expected=votes * 1_000_000
        )
    assert ask(shelf, seen={"wheels": "gold"}) == before, "it decides nothing until it is adopted"
    FitAdoption.objects.create(fit=fit, by=ModeratorFactory(), at=NOON, reason="Learnt.")
    after = ask(shelf, seen={"wheels": "gold"})
    assert first(after) == "First"
    assert after["ranking"][0]["probability"] < before["ranking"][0]["probability"] - 1_000
    row = known_in(wide).confusion[gold.trait.public_id][0]
    assert row == pytest.approx([(60 + 20 * 0.95) / 120, (40 + 20 * 0.025) / 120])


# Wider scopes -----------------------------------------------------------------------------------------------------


def test_a_casting_a_line_a_bar_code_and_all_hold_the_variants_of_their_releases(shelf):
    line, casting = shelf.release.line, shelf.release.casting
    again = Shelf({"Re-issue": {"wheels": "white"}}, ReleaseFactory(line=line, casting=casting))
    third = Shelf({"Kelp Runner": {"wheels": "black"}}, ReleaseFactory(line=line))
    Shelf({"Elsewhere": {"wheels": "black"}})
    pack = PackContentFactory(release=again.release, pack__gtin="06291041500213").pack
    PackContentFactory(release=third.release, pack=pack)
    sizes = {
        scope: len(known_in(scope).variants)
        for scope in (
            Scope("casting", casting.public_id),
            Scope("line", line.public_id),
            Scope("gtin", "06291041500213"),
            Scope("all"),
        )
    }
    assert list(sizes.values()) == [5, 6, 2, 7]


def test_a_kept_table_is_read_anew_once_a_variant_or_a_count_changes(shelf):
    scope = Scope("line", shelf.release.line.public_id)
    assert len(known_in(scope).variants) == 4
    shelf.add("Fifth", wheels="white")
    assert len(known_in(scope).variants) == 5
    assert known_in(scope).prior is None
    shelf.count(First=3, Fifth=1)
    assert known_in(scope).prior is not None


def test_a_scope_that_names_nothing_is_refused():
    with pytest.raises(UnknownReference, match="No line has it"):
        known_in(Scope("line", "4k7d9xwpm2cx"))


def test_more_than_can_be_ranked_is_refused_with_the_number(shelf, monkeypatch):
    monkeypatch.setattr(reading, "MOST_VARIANTS", 3)
    with pytest.raises(InvalidField, match="More than 3 variants are meant"):
        known_in(Scope("all"))


@pytest.mark.parametrize("scope", ["release", "line", "all"])
def test_an_answer_costs_the_same_for_more_variants(shelf, scope):
    def cost():
        name = {"release": shelf.release.public_id, "line": shelf.release.line.public_id, "all": ""}[scope]
        with CaptureQueriesContext(connection) as asked:
            answer(Question(Scope(scope, name), shelf.said(wheels="gold")))
        return len(asked)

    shelf.count(First=2)
    before = cost()
    for n in range(12):
        shelf.add(f"More {n}", wheels=f"tint {n}", **{f"detail{n}": "seen"})
        shelf.count(First=1, Silver_wheels=1)
    assert cost() == before <= 11


def test_a_batch_costs_the_same_for_many_scopes(shelf):
    def cost(scopes):
        with CaptureQueriesContext(connection) as asked:
            told = answers([Question(scope, {}) for scope in scopes])
        assert len(told) == len(scopes)
        return len(asked)

    shelves = [shelf, *(Shelf({"Only": {"wheels": "gold"}}) for _ in range(6))]
    scopes = [of(each) for each in shelves]
    assert cost(scopes[:2]) == cost(scopes) <= 14


def test_an_empty_release_and_one_variant_are_answered():
    told = answer(Question(of(Shelf({})), {}))
    assert (told["ranking"], told["not_listed"]["probability"]) == ([], 10_000)
    one = Shelf({"Only": {"wheels": "gold"}})
    assert first(ask(one, seen={"wheels": "gold"})) == "Only"


# Minimal checks ---------------------------------------------------------------------------------------------------


def test_the_fewest_checks_tell_all_variants_apart(shelf):
    told = checks_of(known_in(of(shelf)))
    assert {each["name"] for each in told["checks"]} == {"Front wheels", "Roof crest", "Base text"}
    assert (told["is_smallest"], told["no_fewer_than"], told["alike_count"]) == (True, 3, 0)


def test_in_the_pack_the_pairs_that_stay_alike_are_named_with_what_would_tell_them(shelf):
    told = checks_of(known_in(of(shelf)), in_pack=True)
    [pair] = told["alike"]
    assert pair["words"] == (
        "First and Dated base cannot be told apart by these checks. Base text tells them apart."
    )
    assert pair["would_tell"] == [shelf.traits["base"].public_id]


def test_one_variant_needs_fewer_checks_than_all(shelf):
    told = checks_of(known_in(of(shelf)), variant=shelf.variants["Dated base"].public_id)
    assert [each["name"] for each in told["checks"]] == ["Base text"]


def test_a_variant_of_another_release_is_refused(shelf):
    stranger = Shelf({"Other": {"wheels": "gold"}}).variants["Other"]
    with pytest.raises(InvalidField, match="Name a variant of this release"):
        checks_of(known_in(of(shelf)), variant=stranger.public_id)
