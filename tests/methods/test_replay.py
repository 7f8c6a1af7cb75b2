"""The journal read again gives the facts, and so the standings, that the actions made."""

from dataclasses import replace

import pytest
from hypothesis import given

from registry.methods.facts import ReleaseFacts
from registry.methods.policy import FIRST_POLICY
from registry.methods.replay import BEARING_VERBS, Line, fold
from registry.methods.standing import decide
from tests.methods.journal_lines import JournalLines, claim_detail, journal_of
from tests.methods.random_releases import releases
from tests.methods.small_release import verified_pair


def written() -> JournalLines:
    return journal_of(verified_pair().facts)


def word(journal: JournalLines, variant: str = "b") -> str:
    return decide(journal.facts(), FIRST_POLICY).variants[variant].standing


def claim_word(journal: JournalLines, claim: str) -> str:
    return decide(journal.facts(), FIRST_POLICY).claims[claim].standing


@given(releases())
def test_a_replay_of_all_history_gives_the_same_standings(release):
    assert decide(journal_of(release.facts).facts(), FIRST_POLICY) == release.decide()


def test_a_replay_of_less_history_gives_the_standings_of_that_day():
    journal = written()
    votes = [number for number, line in enumerate(journal.lines) if line.verb == "vote.cast"]
    without_votes = JournalLines(journal.lines[: votes[0]])
    assert (word(without_votes, "a"), word(without_votes)) == ("provisional", "provisional")
    assert (word(journal, "a"), word(journal)) == ("verified", "verified")


def test_a_withdrawn_vote_leaves_nothing_behind():
    journal = written()
    before = journal.facts()
    journal.write("vote.cast", "una", claim="b_wheels", verdict="contradicts", basis="photo")
    assert word(journal) == "provisional"
    journal.write("vote.withdrawn", "una", claim="b_wheels")
    assert journal.facts() == before


def test_a_changed_vote_replaces_the_earlier_one():
    journal = written()
    journal.write("vote.cast", "rut", claim="b_wheels", verdict="contradicts", basis="photo", counts=True)
    votes = [vote for vote in journal.facts().votes if (vote.claim, vote.by) == ("b_wheels", "rut")]
    assert [vote.verdict for vote in votes] == ["contradicts"]


def test_a_submission_brings_its_claims_examples_photos_and_marks_at_once():
    facts = verified_pair().facts
    journal = JournalLines()
    journal.write("release.added", release="kelp", accepted=True)
    journal.write("role.granted", "mod", member="rut", role="reviewer")
    journal.write("role.granted", "mod", member="ada", role="reviewer")
    journal.write("role.granted", "mod", member="mod", role="moderator")
    assert journal.facts().eligible_reviewers == 3
    journal.write(
        "submission.sent",
        "ada",
        release="kelp",
        variant="a",
        new_variant=True,
        title="Black wheels",
        claims=[claim_detail(claim) for claim in facts.claims if claim.variant == "a"],
        examples=[{"id": "a1", "owner": "ada", "condition": "loose", "shop": "Kiosk"}],
        photos=[{"id": "p1", "owner": "ben", "examples": ["a1"], "views": ["base"]}],
        marks=[{"claim": "a_wheels", "example": "a1", "photo": "p1"}],
    )
    now = journal.facts()
    assert [variant.title for variant in now.variants] == ["Black wheels"]
    assert (len(now.claims), len(now.examples), len(now.photos), len(now.marks)) == (2, 1, 1, 1)
    assert now.photos[0].views == frozenset({"base"})
    assert now.eligible_reviewers == 2  # ada sent it


def test_photo_owners_of_submissions_are_not_eligible_but_others_are():
    journal = written()
    journal.write("role.granted", "mod", member="pia", role="reviewer")
    assert journal.facts().eligible_reviewers == 11
    detail = {"owner": "pia", "examples": ["b1"], "views": [], "release": "kelp", "bars": []}
    journal.write("photo.attached", "pia", id="later", submission=None, **detail)
    assert journal.facts().eligible_reviewers == 11
    journal.write("photo.attached", "pia", id="with_it", submission="s1", **detail)
    assert journal.facts().eligible_reviewers == 10


def test_a_photo_bars_its_owner_from_the_claims_it_names():
    journal = written()
    detail = {"owner": "rut", "examples": ["b1"], "views": [], "release": "kelp", "submission": "s1"}
    journal.write("photo.attached", "rut", id="late", bars=["b_wheels"], **detail)
    assert decide(journal.facts(), FIRST_POLICY).claims["b_wheels"].counted == 2


def test_roles_are_granted_and_revoked():
    journal = written()
    journal.write("role.revoked", "mod", member="eligible_0", role="reviewer")
    assert journal.facts().eligible_reviewers == 9


def test_a_suspended_member_is_not_eligible_until_reinstated():
    journal = written()
    journal.write("member.suspended", "mod", member="eligible_0", reason="Sold votes.")
    assert journal.facts().eligible_reviewers == 9
    journal.write("member.reinstated", "mod", member="eligible_0", reason="A mistake.")
    assert journal.facts().eligible_reviewers == 10


def test_links_count():
    journal = written()
    journal.write("link.declared", "ada", a="ada", b="cy")
    assert word(journal) == "provisional"


def test_a_proposed_release_is_accepted():
    journal = journal_of(replace(verified_pair().facts, release_accepted=False))
    assert word(journal) == "provisional"
    journal.write("release.accepted", "mod", release="kelp")
    assert word(journal) == "verified"


@pytest.mark.parametrize("verb", ["trait.accepted", "state.accepted"])
def test_a_proposed_detail_is_accepted(verb):
    release = verified_pair()
    release.change_claim("b_wheels", accepted=False)
    journal = journal_of(release.facts)
    assert word(journal) == "provisional"
    journal.write(verb, "mod", claims=["b_wheels"])
    assert word(journal) == "verified"


def test_a_merged_state_is_resolved_in_every_claim_on_it():
    journal = written()
    journal.write("state.merged", "mod", claims=[{"id": "b_wheels", "state": "black", "state_name": "Black"}])
    assert word(journal) == "provisional"  # nothing tells it from the baseline any more


def test_a_claim_may_be_restated_whole():
    journal = written()
    wheels = next(claim for claim in journal.facts().claims if claim.id == "b_wheels")
    restated = claim_detail(replace(wheels, alterable=True, seen_in_pack=True, barred=frozenset({"rut"})))
    journal.write("trait.changed", "mod", claims=[restated])
    changed = next(claim for claim in journal.facts().claims if claim.id == "b_wheels")
    assert changed == replace(wheels, alterable=True, seen_in_pack=True, barred=frozenset({"rut"}))


def test_a_new_name_changes_words_only():
    journal = written()
    before = journal.facts()
    journal.write("trait.renamed", "mod", fields=["name"])
    assert journal.facts() == before
    journal.write("trait.renamed", "mod", claims=[{"id": "b_wheels", "trait_name": "Rims"}])
    assert next(c for c in journal.facts().claims if c.id == "b_wheels").trait_name == "Rims"
    assert word(journal) == "verified"


def test_merged_packs_say_which_releases_now_have_a_clear_one():
    journal = written()
    journal.write("pack.merged", "mod", pack="p", into="q", clear={"kelp": True})
    assert journal.facts().clear_sealed_pack


def test_a_photo_of_a_draft_bears_on_nothing_until_its_report_is_sent():
    journal = written()
    before = journal.facts()
    photo = {"id": "pd", "owner": "pia", "examples": [], "views": []}
    journal.write("photo.attached", "pia", **photo, release=None, submission="s9", bars=[])
    journal.write("photo.described", "pia", id="pd", examples=["b1"], views=["base"])
    assert journal.facts() == before
    sent = {"release": "kelp", "variant": "b", "new_variant": False, "title": "", "claims": [], "marks": []}
    journal.write("submission.sent", "pia", **sent, photos=[{**photo, "examples": ["b1"]}])
    assert journal.facts().photos[-1].examples == ("b1",)
    journal.write("photo.described", "pia", id="pd", examples=["b1", "b2"], views=["base"])
    assert journal.facts().photos[-1].examples == ("b1", "b2")
    assert journal.facts().photos[-1].views == frozenset({"base"})


def test_a_photo_of_a_draft_that_is_taken_down_is_no_matter():
    journal = written()
    before = journal.facts()
    photo = {"id": "pd", "owner": "pia", "examples": [], "views": []}
    journal.write("photo.attached", "pia", **photo, release=None, submission="s9", bars=[])
    journal.write("photo.taken_down", "mod", id="pd", disputes=[])
    assert journal.facts() == before


def test_votes_and_disputes_on_statements_of_order_bear_on_no_standing():
    journal = written()
    before = journal.facts()
    journal.write("vote.cast", "rut", statement="s", verdict="confirms", basis="photo", counts=True)
    journal.write("vote.withdrawn", "rut", statement="s")
    journal.write("dispute.opened", "rut", id="ds", statement="s")
    journal.write("dispute.photo_added", "rut", id="ds", statement="s")
    journal.write("dispute.closed", "mod", id="ds", outcome="upheld", statement="s")
    assert journal.facts() == before


def test_a_clear_sealed_pack_forbids_loose_substitutes():
    journal = JournalLines()
    journal.write("release.added", release="kelp", accepted=True)
    journal.write("pack.added", releases=["kelp"], sealed=True, see_through=False)
    assert not journal.facts().clear_sealed_pack
    journal.write("pack.added", releases=["kelp"], sealed=True, see_through=True)
    assert journal.facts().clear_sealed_pack
    assert not journal.facts().sealed_unobtainable
    journal.write("sealed.unobtainable", "mod", release="kelp", value=True)
    assert journal.facts().sealed_unobtainable


def test_a_mark_is_removed_and_a_photo_taken_down():
    journal = written()
    facts = journal.facts()
    mark = next(mark for mark in facts.marks if mark.example == "b2")
    journal.write("mark.removed", "mod", claim=mark.claim, example=mark.example, photo=mark.photo)
    assert word(journal) == "provisional"
    journal.write("mark.added", "ada", claim=mark.claim, example=mark.example, photo=mark.photo)
    assert word(journal) == "verified"
    journal.write("photo.taken_down", "mod", id=mark.photo)
    assert word(journal) == "provisional"


def disputed(photo: bool) -> JournalLines:
    journal = written()
    wheels = next(claim for claim in journal.facts().claims if claim.id == "b_wheels")
    rival = claim_detail(
        replace(wheels, id="r", state="silver", is_difference=False, barred=frozenset({"obj"}))
    )
    journal.write("dispute.opened", "obj", id="d", claim="b_wheels", rival=rival, photo=photo)
    return journal


def test_a_dispute_contests_once_a_photo_is_added_and_until_it_is_taken_down():
    journal = disputed(photo=False)
    assert word(journal) == "verified"
    journal.write("dispute.photo_added", "obj", id="d")
    assert word(journal) == "contested"
    photo = {"id": "pd", "owner": "obj", "examples": [], "views": [], "release": "kelp", "submission": None}
    journal.write("photo.attached", "obj", bars=["r"], **photo)
    journal.write("photo.taken_down", "mod", id="pd", disputes=["d"])
    assert word(journal) == "verified"


@pytest.mark.parametrize("outcome", ["upheld", "withdrawn"])
def test_a_dispute_that_fails_closes_its_rival(outcome):
    journal = disputed(photo=True)
    journal.write("dispute.closed", "mod", id="d", outcome=outcome)
    claims = {claim.id: claim for claim in journal.facts().claims}
    assert (claims["b_wheels"].is_open, claims["r"].is_open) == (True, False)
    assert word(journal) == "verified"


def test_a_correction_puts_the_rival_in_the_claims_place():
    journal = disputed(photo=True)
    for member in ("rut", "sol", "tam"):
        journal.write("vote.cast", member, claim="r", verdict="confirms", basis="photo", counts=True)
    for example in ("b1", "b2"):
        photo = next(photo.id for photo in journal.facts().photos if example in photo.examples)
        journal.write("mark.added", "obj", claim="r", example=example, photo=photo)
    assert decide(journal.facts(), FIRST_POLICY).disputes["d"].due == "corrected"
    journal.write("dispute.closed", None, id="d", outcome="corrected")
    claims = {claim.id: claim for claim in journal.facts().claims}
    assert (claims["b_wheels"].is_open, claims["r"].is_open) == (False, True)
    assert (claims["r"].is_difference, claims["r"].rival_in) == (True, None)
    assert word(journal) == "verified"


@pytest.mark.parametrize("event", ["struck", "merged", "split"])
def test_moderators_events_end_a_variant_and_can_be_undone(event):
    journal = written()
    journal.write(f"variant.{event}", "mod", variant="b")
    assert word(journal) == event
    journal.write("variant.restored", "mod", variant="b")
    assert word(journal) == "verified"


def test_votes_and_marks_of_a_merged_variant_count_on_the_survivor():
    journal = written()
    survivor = claim_detail(next(claim for claim in journal.facts().claims if claim.id == "b_wheels"))
    sent = {"release": "kelp", "variant": "c", "new_variant": True, "title": "Gold wheels again"}
    journal.write("submission.sent", "dora", **sent, claims=[{**survivor, "id": "c_wheels", "variant": "c"}])
    journal.write("vote.cast", "rut", claim="c_wheels", verdict="contradicts", basis="photo", counts=True)
    journal.write("vote.cast", "una", claim="c_wheels", verdict="confirms", basis="photo", counts=True)
    journal.write("example.added", "dora", id="c1", owner="dora", condition="loose", release="kelp")
    photo = {"id": "pc", "owner": "dora", "examples": ["c1"], "views": []}
    journal.write("photo.attached", "dora", **photo, release="kelp", submission="s", bars=["c_wheels"])
    journal.write("mark.added", "dora", claim="c_wheels", example="c1", photo="pc")
    before = decide(journal.facts(), FIRST_POLICY).claims["b_wheels"]
    assert (before.counted, before.examples) == (3, 2)
    journal.write("variant.merged", "mod", variant="c", claims={"c_wheels": "b_wheels"})
    after = decide(journal.facts(), FIRST_POLICY).claims["b_wheels"]
    assert (after.counted, after.examples) == (4, 3)
    assert after.posterior == pytest.approx(
        0.8**2 / (0.8**2 + 0.2**2)
    )  # rut's later vote, against, is the one heard
    journal.write("variant.restored", "mod", variant="c", claims=["c_wheels"])
    assert decide(journal.facts(), FIRST_POLICY).claims["b_wheels"] == before


def test_a_merged_release_brings_all_it_has_into_the_other():
    journal = written()
    journal.write("release.added", release="kelp_again", accepted=False)
    claim = {"id": "z_wheels", "variant": "z", "trait": "wheels", "state": "silver", "is_difference": True}
    sent = {"release": "kelp_again", "variant": "z", "new_variant": True, "title": "Silver wheels"}
    journal.write("submission.sent", "eligible_0", **sent, claims=[claim])
    assert set(fold(journal.lines)) == {"kelp", "kelp_again"}
    journal.write("release.merged", "mod", release="kelp_again", into="kelp")
    assert set(fold(journal.lines)) == {"kelp"}
    assert {variant.id for variant in journal.facts().variants} == {"a", "b", "z"}
    assert journal.facts().eligible_reviewers == 9
    journal.write("vote.cast", "rut", claim="z_wheels", verdict="confirms", basis="photo", counts=True)
    journal.write("example.added", "ada", id="z1", owner="ada", condition="loose", release="kelp_again")
    assert "z1" in {example.id for example in journal.facts().examples}


def test_verbs_that_do_not_bear_on_standing_are_passed_over():
    journal = written()
    before = journal.facts()
    journal.write("edition.published", "mod", number=12)
    journal.write("sighting.reported", "ada", scope="peg")
    assert journal.facts() == before
    assert not {"edition.published", "sighting.reported"} & BEARING_VERBS


@pytest.mark.parametrize(
    ("verb", "detail", "says"),
    [
        ("vote.cast", {"claim": "none", "verdict": "confirms", "basis": "photo"}, "no claim none before it"),
        ("vote.withdrawn", {"claim": "b_wheels"}, "cannot be replayed"),
        ("vote.cast", {"claim": "b_wheels"}, "verdict"),
        ("mark.removed", {"claim": "b_wheels", "example": "b1", "photo": "other"}, "cannot be replayed"),
        ("pack.added", {"releases": ["none"], "sealed": True, "see_through": True}, "no release none"),
        ("release.merged", {"release": "kelp", "into": "kelp"}, "into itself"),
        ("photo.taken_down", {"id": "none"}, "no photo none"),
        ("dispute.closed", {"id": "none", "outcome": "upheld"}, "no dispute none"),
        ("variant.struck", {"variant": "none"}, "no variant none"),
        ("trait.accepted", {}, "'claims'"),
    ],
)
def test_a_line_that_does_not_fit_is_named(verb, detail, says):
    journal = written()
    seq = journal.write(verb, "nobody", **detail)
    with pytest.raises(ValueError, match=rf"journal line {seq} \({verb}\) .*{says}"):
        fold(journal.lines)


def test_a_dispute_must_end_in_one_of_the_known_ways():
    journal = disputed(photo=True)
    journal.write("dispute.closed", "mod", id="d", outcome="forgotten")
    with pytest.raises(ValueError, match="no dispute ends as 'forgotten'"):
        fold(journal.lines)


def test_lines_out_of_order_are_refused():
    with pytest.raises(ValueError, match="line 3 comes after line 3"):
        fold([Line(3, "edition.published", None, {}), Line(3, "edition.published", None, {})])


def test_an_empty_journal_knows_no_release():
    assert fold([]) == {}
    assert decide(ReleaseFacts(), FIRST_POLICY).variants == {}
