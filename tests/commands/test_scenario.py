"""The demonstration, loaded once through the actions and walked to its end: what must come out of it.

Its data is committed, so that the site's own threads see it, and taken away again after these tests.
"""

from __future__ import annotations

from collections import Counter
from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db.models import F
from django.test import Client

from registry.actions.publish import edition_file, edition_files
from registry.management.editions import check_edition, read_edition
from registry.management.scenario.files import read_scenario
from registry.management.scenario.names import Names
from registry.methods.edition import changes
from registry.methods.replay import BEARING_VERBS, Line, fold
from registry.methods.standing import decide
from registry.models import (
    GONE,
    WAITING,
    Acceptance,
    Availability,
    CabinetItem,
    Casting,
    Claim,
    Concern,
    CountLine,
    Dispute,
    Drift,
    Edition,
    GlossReading,
    HeldDispute,
    JournalEntry,
    Member,
    MemberLink,
    Outcome,
    Photo,
    Release,
    ReleaseState,
    Remark,
    RoleGrant,
    Sighting,
    State,
    Statement,
    Submission,
    Trait,
    Variant,
    Vote,
    Watch,
)
from registry.queries.facts import current_policy
from registry.queries.fits import reliabilities_of

pytestmark = pytest.mark.scenario
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker):
    """What the demo said while it loaded and walked."""
    with django_db_blocker.unblock():
        out = StringIO()
        call_command("demo", no_serve=True, fixtures=FIXTURES, stdout=out)
        yield out.getvalue()
        call_command("flush", interactive=False, verbosity=0)


@pytest.fixture(scope="module")
def scenario():
    return read_scenario(FIXTURES)


@pytest.fixture(scope="module")
def names(told, scenario):
    return Names(scenario)


def rows() -> dict[str, int]:
    """How many rows each model has."""
    return {model.__name__: model._default_manager.count() for model in apps.get_models()}


# What is in it


def test_the_catalogue_is_as_large_as_promised(told):
    assert Casting.objects.current().count() >= 14
    assert Release.objects.current().count() >= 18
    assert Release.objects.filter(reissue_of__isnull=False).exists()
    assert Variant.objects.live().count() >= 60
    assert Variant.objects.verified().count() >= 20


def test_forty_members_with_roles_and_one_declared_link(told):
    held = Counter(RoleGrant.objects.filter(revoked_at=None).values_list("role", flat=True))
    assert Member.objects.count() == 40
    assert held["reviewer"] >= 12
    assert held["moderator"] == 2
    assert MemberLink.objects.count() == 1


def test_every_variant_stands_where_the_files_want_it(names, scenario):
    wanted = {key: spec["wanted"] for key, spec in scenario.variants.items()}
    assert {key: names.variant(key).standing for key in wanted} == wanted


def test_the_pictures_are_many_and_show_what_they_should(told):
    shown = [photo.examples.count() for photo in Photo.objects.all()]
    sealed = [photo for photo in Photo.objects.all() if "seal_all_round" in photo.views]
    assert len(shown) >= 80
    assert len(sealed) >= 15
    assert sum(count > 1 for count in shown) >= 10
    pictured = Variant.objects.filter(claims__marks__isnull=False).distinct()
    assert pictured.count() >= 40


def test_whatever_waits_for_a_vote_is_shown_by_a_picture(told):
    """A report may be sent without one; somebody has shown each of them since."""
    waiting = Claim.objects.votable().filter(standing__in=WAITING).exclude(variant__standing__in=GONE)
    bare = waiting.exclude(variant__release__examples__photos__marks__claim__variant=F("variant"))
    assert waiting.count() > 50
    assert [f"{claim} of {claim.variant}" for claim in bare] == []
    assert Submission.objects.filter(status="sent", photos=None).count() >= 2


def test_sightings_are_of_every_scope_finds_and_full_counts(told):
    scopes = Counter(Sighting.objects.values_list("scope", "is_full_count"))
    assert sum(scopes.values()) >= 250
    assert {scope for scope, _ in scopes} == {"item", "sealed_pack", "peg", "case", "collection"}
    assert {full for _, full in scopes} == {True, False}
    assert set(CountLine.objects.values_list("kind", flat=True)) == {
        "variant", "one_of_these", "none_known", "could_not_tell",
    }  # fmt: skip


def test_a_file_of_sightings_was_brought_and_its_repeated_line_counts_once(told):
    assert sorted(Sighting.objects.exclude(key="").values_list("key", flat=True)) == [
        "drift 1",
        "drift 2",
        "drift 3",
    ]
    assert JournalEntry.objects.get(verb="sightings.imported").detail["known"] == 1


def test_statements_of_order_stand_in_every_way(told):
    assert set(Statement.objects.values_list("standing", flat=True)) >= {"open", "confirmed", "refuted"}
    coded = Statement.objects.get(kind="coded")
    # Week 31 of 2025 in ISO 8601: 28 July to 3 August; three days either way.
    assert (str(coded.on), str(coded.until)) == ("2025-07-25", "2025-08-06")


def test_one_release_has_a_single_variant_after_many_comparisons(names):
    release = names.release("lock-badger-2025")
    counts = release.sightings.filter(is_full_count=True, cases_compared__isnull=False)
    assert release.variants.count() == 1
    assert counts.count() >= 20
    assert set(CountLine.objects.filter(sighting__in=counts).values_list("kind", flat=True)) == {"variant"}


def test_what_is_set_apart_says_why(names):
    apart = {key: names.variant(key).cause for key in ("bw24_e", "lg24_c", "ps24_c")}
    assert apart == {"bw24_e": "altered", "lg24_c": "factory_error", "ps24_c": "drift"}
    swap = Dispute.objects.get(claim__variant=names.variant("bw24_e"))
    assert (swap.outcome, swap.claim.state.key) == (Outcome.CORRECTED, "running_change")
    assert Drift.objects.filter(release=names.release("pilot-sprat-2024"), trait__key="body").exists()


def test_a_state_returns(names):
    wheels = [names.claim(f"bw24_{letter}", "wheels_front").state.key for letter in "abc"]
    assert wheels == ["five_slot_black", "five_slot_chrome", "five_slot_black"]


def test_set_packs_mix_two_stages_of_the_single_pack(names):
    seen = CountLine.objects.filter(sighting__scope="sealed_pack")
    mixed = {
        names.variant(key): set(seen.filter(variants=names.variant(key)).values_list("sighting__pack__kind"))
        for key in names.scenario.files["variants"]["mixed_packs"]
    }
    assert list(mixed.values()) == [{("two_pack",)}, {("play_set",)}]


def test_one_release_was_pulled_and_one_pack_changed_its_version(names):
    assert Availability.objects.filter(kind="pulled").get().release == names.release("ferry-wren-2025")
    versions = {
        pack.versions.count() for pack in names.release("foghorn-2024").packs.filter(kind="single_card")
    }
    assert versions == {2}


def test_an_impossible_sequence_was_stated(names):
    order = Statement.objects.filter(release=names.release("foghorn-2024"), kind="before")
    said = set(order.values_list("variant", "other"))
    d, e, f = (names.variant(f"fh24_{letter}").pk for letter in "def")
    assert {(e, d), (f, e), (d, f)} <= said


def test_its_page_names_the_three_statements_that_cannot_all_hold(names, client):
    page = client.get(f"/releases/{names.release('foghorn-2024').public_id}/order").text
    conflict, _, rest = page.partition("</section>")
    assert "These 3 cannot all hold" in conflict
    for one, other in (("fh24_e", "fh24_d"), ("fh24_f", "fh24_e"), ("fh24_d", "fh24_f")):
        assert f"{names.variant(one)} was shipped before {names.variant(other)}" in conflict
    assert rest.count('class="doubted"') == 1


def test_proposals_wait_were_accepted_and_were_merged(names):
    for model in (Release, Trait, State):
        assert model.objects.proposed().exists(), model
    assert names.release("ropewalker-2024").packs.get(name="Harbour fair bag").is_accepted
    merged = State.objects.get(acceptance=Acceptance.MERGED)
    claim = names.claim("sh24_d", "windows")
    assert (merged.name, merged.survivor.key) == ("bottle green", "green_tint")
    assert claim.state.survivor.key == "green_tint"


def test_disputes_ended_and_stay_open_in_every_way(names, scenario):
    told = scenario.happenings["disputes"]
    for spec in (spec for spec in told if spec["becomes"] != "held"):
        dispute = names.dispute(spec["variant"], spec["trait"], spec["by"])
        state = {
            "open": ("open", False, False),
            "contesting": ("open", True, False),
            "upheld by votes": ("upheld", False, False),
            "upheld by a moderator": ("upheld", False, True),
            "withdrawn": ("withdrawn", False, True),
            "corrected": ("corrected", False, False),
        }[spec["becomes"]]
        assert (dispute.outcome, dispute.contests, dispute.closed_by is not None) == state, spec["variant"]
    assert {spec["becomes"] for spec in told} == {
        "open", "contesting", "upheld by votes", "upheld by a moderator", "withdrawn", "corrected", "held",
    }  # fmt: skip
    assert Dispute.objects.open().filter(statement__isnull=False).exists()


def test_a_fourth_dispute_of_one_persons_records_waits_for_a_moderator(names):
    held = HeldDispute.objects.get()
    assert (held.outcome, held.opened_by) == ("held", names.member("gale"))
    theirs = Dispute.objects.filter(opened_by=held.opened_by, claim__author=held.claim.author)
    assert sorted(theirs.values_list("outcome", flat=True)) == ["open", "withdrawn", "withdrawn"]
    assert not Claim.objects.filter(rival_in__isnull=False, state=held.state, trait=held.claim.trait).filter(
        variant=held.claim.variant
    )


def test_votes_in_lockstep_wait_for_a_moderator_and_count_for_nothing(names):
    concern = Concern.objects.get()
    pair = {names.member("umber"), names.member("zander")}
    assert (concern.kind, concern.outcome, set(concern.members.all())) == ("lockstep", "open", pair)
    votes = Vote.objects.filter(by__in=pair, claim__public_id__in=concern.evidence["claims"])
    assert votes.count() == 2 * len(concern.evidence["claims"]) == 18
    assert not votes.filter(counts=True).exists()


def test_the_moderators_desk_and_both_their_pages_show_what_waits(names):
    desk = Client()
    desk.force_login(names.member("harbourmaster"))
    page = desk.get("/moderation").text
    for what, row in (("held", HeldDispute.objects.get()), ("concerns", Concern.objects.get())):
        address = f"/moderation/{what}/{row.public_id}"
        assert address in page
        assert desk.get(address).status_code == 200


def test_fidelity_samples_and_cabinets_are_there(told):
    assert set(ReleaseState.objects.values_list("fidelity", flat=True)) >= {"matches", "departs"}
    assert ReleaseState.objects.filter(sample__isnull=False).count() == 10
    assert CabinetItem.objects.filter(variant=None).exists()


def test_what_stands_beside_the_record_is_there(told):
    assert set(GlossReading.objects.values_list("geometry", flat=True)) == {60, 85}
    [asked] = Submission.objects.exclude(opened_at=None)
    assert Remark.objects.filter(photo__submission=asked).exclude(by=asked.author).count() == 2
    member = Member.objects.get(display_name="Pieter on the Quay")
    assert Watch.objects.filter(member=member).count() == 2


def test_nobody_but_those_named_can_sign_in_and_no_address_is_in_the_journal(told):
    able = [member for member in Member.objects.all() if member.has_usable_password()]
    assert len(able) == 3
    assert all(member.email in told for member in able)
    assert not JournalEntry.objects.filter(detail__icontains="otterholm.example").exists()
    assert all(
        member.emailaddress_set.filter(verified=True, primary=True).count() == 1
        for member in Member.objects.all()
    )


def test_the_printed_passwords_sign_in(told):
    rows = [line.split() for line in told.splitlines() if "@otterholm.example" in line]
    assert [row[0] for row in rows] == ["member", "reviewer", "moderator"]
    for _, email, password, *_ in rows:
        visitor = Client()
        answer = visitor.post("/accounts/login/", {"login": email, "password": password})
        assert answer.status_code == 302
        assert Member.objects.get(pk=visitor.session["_auth_user_id"]).email == email


# What follows from it


def test_replaying_the_journal_gives_every_standing_as_stored(told):
    entries = JournalEntry.objects.filter(verb__in=BEARING_VERBS).order_by("pk")
    facts = fold(Line(*row) for row in entries.values_list("pk", "verb", "by__public_id", "detail"))
    policy = current_policy()
    judged = {name: decide(known, policy, reliabilities_of(known)) for name, known in facts.items()}
    claims = {name: one for standing in judged.values() for name, one in standing.claims.items()}
    variants = {name: one for standing in judged.values() for name, one in standing.variants.items()}
    assert {c.public_id: (c.standing, c.missing, c.votes_counted) for c in Claim.objects.all()} == {
        name: (one.standing, list(one.missing), one.counted) for name, one in claims.items()
    }
    assert {v.public_id: (v.standing, v.missing, v.is_founding) for v in Variant.objects.all()} == {
        name: (one.standing, list(one.missing), one.founding) for name, one in variants.items()
    }


def test_recomputing_changes_nothing(told):
    out = StringIO()
    call_command("recompute", check=True, stdout=out)
    assert out.getvalue().endswith("0 would change\n")


def test_both_lists_are_built_again_to_the_same_bytes_and_the_second_follows_the_first(told, names):
    first, second = Edition.objects.order_by("number")
    for edition in (first, second):
        for name, content in edition_files(edition).items():
            assert edition_file(edition, name).read_bytes() == content, (edition.number, name)
    files = [read_edition(edition_file(edition, "edition.json").parent) for edition in (first, second)]
    assert check_edition(files[1], files[0]) == []
    corrected = names.variant(names.scenario.files["variants"]["corrected"])
    assert changes(files[1], files[0]) == {"new": [], "changed": [corrected.public_id], "gone": []}
    assert names.claim(names.scenario.files["variants"]["corrected"], "interior").state.key == "tan"


def test_the_story_says_how_what_is_missing_shrinks_until_the_variant_is_verified(told, names):
    path = told[told.index("The main path") : told.index("publishes List no. 1")]
    missing = [
        int(line.split("(")[1].split(")")[0]) for line in path.splitlines() if "Still missing (" in line
    ]
    main = names.variant(names.scenario.files["variants"]["main_path"])
    assert missing == sorted(missing, reverse=True)
    assert missing[0] > missing[-1] == 1
    assert path.rstrip().splitlines()[-2].strip() == "Standing: verified."
    assert f"/variants/{main.public_id}" in path
    assert "304, nothing newer to fetch" in told


def test_a_second_run_does_nothing_twice_and_tells_the_same_story(told):
    before, out = rows(), StringIO()
    call_command("demo", no_serve=True, fixtures=FIXTURES, stdout=out)
    again = out.getvalue()
    assert rows() == before
    assert again.startswith("The demonstration is in this database already")
    start = "The main path, step by step"
    assert again[again.index(start) :] == told[told.index(start) :]
