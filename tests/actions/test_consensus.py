"""A fit is learnt from votes, adopted, and settled under; the journal and the stored fits give every standing."""

import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField, NothingToLearn, RoleRequired
from registry.methods.policy import FIRST_POLICY
from registry.methods.replay import fold
from registry.methods.standing import decide
from registry.models import (
    Claim,
    Confusion,
    Fit,
    FitAdoption,
    FitRate,
    JournalEntry,
    Release,
    TraitAgreement,
)
from registry.queries.fits import current_fit_number, reliabilities_of
from registry.queries.journal import details_as_read
from registry.queries.learnt import learn
from tests.factories import MemberFactory, ReviewerFactory
from tests.path import Scene, claim_on, now

from .watching import journal_lines, refused
from .yard import Yard, as_stored, by_journal, journal

pytestmark = pytest.mark.django_db


def adopt(fit: Fit) -> None:
    actions.adopt_fit(fit=fit, at=now(), reason="It follows the votes of this month.")


def judged(yard: Yard, line: int) -> dict:
    """Standings by claim and variant from the journal up to the line, and the stored fits alone."""
    facts = fold([entry for entry in journal() if entry.seq <= line])[yard.release.public_id]
    now = decide(facts, FIRST_POLICY, reliabilities_of(facts))
    return {name: (one.standing, one.posterior) for name, one in now.claims.items()} | {
        name: (one.standing, None) for name, one in now.variants.items()
    }


def stored(yard: Yard) -> dict:
    kept = as_stored(yard.release)
    return {name: row[:2] for name, row in kept["claims"].items()} | {
        name: (row[0], None) for name, row in kept["variants"].items()
    }


def test_a_history_with_two_fits_is_reproduced_at_every_step_from_the_journal_and_the_fits():
    yard, seen = Yard(), {}

    def note() -> None:
        seen[JournalEntry.objects.latest("pk").pk] = stored(yard)

    base = yard.baseline()
    note()
    first = actions.make_fit(at=now())
    note()
    adopt(first)
    note()  # adopted, and not settled under it yet
    actions.settle_under_new_fit(at=now())
    note()
    gull = yard.report(yard.gull_states[1], base=base, cause="running_change")
    note()
    yard.vote(claim_on(gull, yard.crest), "contradicts", voters=5, state_seen=yard.gull_states[2])
    note()
    second = actions.make_fit(at=now(), by=yard.moderator)
    adopt(second)
    note()
    yard.vote(claim_on(base, yard.stripe), voters=6)  # settles its release under the second fit at once
    note()
    assert actions.settle_under_new_fit(at=now()) == 0
    for line, standings in seen.items():
        assert judged(yard, line) == standings, f"journal line {line}"
    assert by_journal(yard.release) == as_stored(yard.release)
    posteriors = {standings[claim_on(base, yard.stripe).public_id][1] for standings in seen.values()}
    assert len(posteriors) == 3  # by the policy, and by either fit


def test_adopting_weighs_nothing_anew_until_a_release_is_settled_under_it():
    scene = Scene()
    base = scene.baseline()
    before = claim_on(base, scene.crest).posterior
    adopt(actions.make_fit(at=now()))
    assert claim_on(base, scene.crest).posterior == before
    assert list(Release.objects.unsettled(Fit.objects.get())) == [scene.release]
    told = []
    assert actions.settle_under_new_fit(at=now(), told=lambda *done: told.append(done)) == 1
    assert told == [(1, 1)]
    assert claim_on(base, scene.crest).posterior != before
    assert Release.objects.get(pk=scene.release.pk).settled_fit == Fit.objects.get()
    with journal_lines() as lines:
        assert actions.settle_under_new_fit(at=now()) == 0
        actions.settle_release(release=scene.release, at=now())
    assert lines == []


def test_settling_that_was_broken_off_goes_on_where_it_was(monkeypatch):
    from registry.actions import consensus

    scenes = [Scene() for _ in range(3)]
    for scene in scenes:
        scene.baseline()
    adopt(actions.make_fit(at=now()))
    settle = consensus.settle_release

    def settle_but_the_second(*, release, at):
        if release == scenes[1].release:
            raise KeyboardInterrupt
        return settle(release=release, at=at)

    monkeypatch.setattr(consensus, "settle_release", settle_but_the_second)
    with pytest.raises(KeyboardInterrupt):
        actions.settle_under_new_fit(at=now())
    monkeypatch.undo()
    fit = Fit.objects.get()
    assert list(Release.objects.unsettled(fit).order_by("pk")) == [scenes[1].release, scenes[2].release]
    assert actions.settle_under_new_fit(at=now()) == 2


def test_an_older_fit_can_be_adopted_again_and_gives_the_same_standings():
    yard = Yard()
    base = yard.baseline()
    first = actions.make_fit(at=now())
    adopt(first)
    actions.settle_under_new_fit(at=now())
    under_first = as_stored(yard.release)
    yard.vote(claim_on(base, yard.crest), "contradicts", voters=1)
    second = actions.make_fit(at=now())
    yard.vote(claim_on(base, yard.crest), voters=1)
    adopt(second)
    actions.settle_under_new_fit(at=now())
    assert as_stored(yard.release) != under_first
    adopt(first)
    assert current_fit_number() == 1
    actions.settle_under_new_fit(at=now())
    assert as_stored(yard.release) == under_first
    assert by_journal(yard.release) == under_first


def test_what_is_kept_reads_back_as_it_was_learnt():
    scene = Scene()
    gull = scene.change(scene.baseline(), scene.gull)
    scene.vote(
        claim_on(gull, scene.crest), "contradicts", voters=1, basis="own_loose", state_seen=scene.anchor
    )
    learnt = learn()
    fit = actions.make_fit(at=now())
    assert (fit.votes, fit.reviewers, fit.claims) == (12, 3, 4)
    assert fit.digest == learnt.digest == learn().digest
    assert fit.converged
    assert FitRate.objects.filter(fit=fit, member=None).count() == 24
    facts = _facts(scene, fit)
    read = reliabilities_of(facts)
    for place, key in enumerate(learnt.gathered.reviewers.tolist()):
        member = next(r for r in scene.reviewers if r.pk == key)
        for kind, name in ((0, "print"), (10, "cause"), (1, "colour")):
            for in_hand in (True, False):
                expected = learnt.fit.rates(place, kind, in_hand)
                assert read.rates(member.public_id, name, in_hand, FIRST_POLICY) == pytest.approx(
                    expected, abs=2e-6
                )
    assert read.rates("nobody", "", True, FIRST_POLICY) == pytest.approx(
        learnt.fit.population[-1, 1], abs=2e-6
    )


def _facts(scene: Scene, fit: Fit):
    from registry.queries.facts import release_facts

    return release_facts(scene.release, fit.number)


def test_confusions_count_what_was_seen_by_how_likely_the_claim_is_true():
    scene = Scene()
    base = scene.baseline()
    for reviewer in scene.reviewers[3:5]:
        actions.cast_vote(
            claim=claim_on(base, scene.crest),
            by=reviewer,
            at=now(),
            verdict="contradicts",
            basis="photo",
            state_seen=scene.gull,
        )
    yes, no = Confusion.objects.filter(fit=actions.make_fit(at=now()), trait=scene.crest).order_by("count")[
        ::-1
    ]
    assert (yes.claimed, yes.seen, yes.count) == (scene.anchor, scene.anchor, 3)
    assert (no.claimed, no.seen, no.count) == (scene.anchor, scene.gull, 2)
    assert yes.expected == pytest.approx(1.5 * no.expected, abs=2)
    assert 0 < no.expected < 2_000_000


def test_a_trait_on_which_nearly_all_disagree_is_kept_as_hard_to_judge_with_what_is_confused():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    claims = [claim_on(base, scene.crest)]
    for _ in range(5):
        state = actions.add_state(
            by=scene.moderator,
            at=now(),
            trait=scene.stripe,
            key=f"s{len(claims)}",
            name=f"band {len(claims)}",
        )
        claims.append(
            claim_on(scene.report(scene.gull, state, base=base, cause="running_change"), scene.crest)
        )
    for claim in claims:
        other = scene.gull if claim.state == scene.anchor else scene.anchor
        scene.vote(claim, voters=2)
        for reviewer in scene.reviewers[2:5]:
            actions.cast_vote(
                claim=claim, by=reviewer, at=now(), verdict="contradicts", basis="photo", state_seen=other
            )
    found = TraitAgreement.objects.get(fit=actions.make_fit(at=now()), trait=scene.crest)
    assert (found.units, found.votes) == (6, 30)
    assert found.low <= found.alpha <= found.high < 667_000
    assert found.is_hard
    one, other, pairs = found.confused[0]
    assert {one, other} == {scene.anchor.public_id, scene.gull.public_id}
    assert pairs == 6 * 150  # two against three: 6 mixed pairs of 10, of which m / 2 = 2.5 count


def test_votes_that_standing_does_not_hear_teach_nothing():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red, by=scene.reviewers[0])
    claim = claim_on(base, scene.crest)
    bystander, barred_later = MemberFactory(), scene.reviewers[1]
    for by, verdict in (
        (bystander, "confirms"),
        (scene.reviewers[2], "cannot_tell"),
        (barred_later, "confirms"),
    ):
        actions.cast_vote(claim=claim, by=by, at=now(), verdict=verdict, basis="photo")
    photo = scene.photo(scene.example(owner=barred_later))
    type(photo).objects.filter(pk=photo.pk).update(submission=claim.submission)
    with refused(NothingToLearn):
        actions.make_fit(at=now())
    own = scene.example(owner=scene.reviewers[0])
    scene.photo(own, added_at=now())
    actions.cast_vote(
        claim=claim, by=scene.reviewers[0], at=now(), verdict="confirms", basis="own_sealed", example=own
    )
    fit = actions.make_fit(at=now())
    assert set(FitRate.objects.exclude(member=None).values_list("fit", "member", "in_hand", "votes")) == {
        (fit.pk, scene.reviewers[0].pk, True, 1)
    }


def test_votes_on_a_claim_that_the_registry_itself_set_are_heard():
    scene = Scene()
    cause = Claim.objects.get(variant=scene.report(scene.anchor), state__key="baseline")
    assert cause.author is None
    actions.cast_vote(claim=cause, by=scene.reviewers[0], at=now(), verdict="confirms", basis="photo")
    assert actions.make_fit(at=now()).votes == 1


def test_a_claim_that_a_moderator_upheld_is_known_and_so_is_its_rival():
    scene = Scene()
    base = scene.baseline()
    dispute = actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.author, reason="A gull.", at=now()
    )
    scene.vote(dispute.rival, voters=1)
    assert actions.make_fit(at=now()).known == 0
    actions.close_dispute(dispute=dispute, by=scene.moderator, at=now(), reason="It is plain.")
    learnt = learn()
    known = dict(zip(learnt.gathered.claims.tolist(), learnt.gathered.ballots.known.tolist(), strict=True))
    assert known[dispute.claim_id] == 1
    assert known[dispute.rival_id] == 0
    assert actions.make_fit(at=now()).known == 2


def test_moderators_and_the_command_line_may_make_and_adopt_others_may_not():
    scene = Scene()
    scene.baseline()
    for by in (scene.author, ReviewerFactory()):
        with refused(RoleRequired):
            actions.make_fit(at=now(), by=by)
    fit = actions.make_fit(at=now(), by=scene.moderator)
    with refused(RoleRequired):
        actions.adopt_fit(fit=fit, at=now(), by=scene.author, reason="Why not.")
    with refused(InvalidField, field="reason"):
        actions.adopt_fit(fit=fit, at=now(), by=scene.moderator, reason=" ")
    adopt(fit)
    with refused(AlreadyClosed, says=["Fit 1"]):
        adopt(fit)
    assert FitAdoption.objects.get().by is None


def test_a_fit_and_its_adoption_are_one_journal_line_each():
    scene = Scene()
    scene.baseline()
    with journal_lines() as lines:
        fit = actions.make_fit(at=now(), by=scene.moderator)
        actions.adopt_fit(fit=fit, at=now(), by=scene.moderator, reason="Made this month.")
    assert [(line.verb, line.by, line.about_kind, line.about_id) for line in lines] == [
        ("fit.made", scene.moderator, "fit", "1"),
        ("fit.adopted", scene.moderator, "fit", "1"),
    ]
    said = {"number": 1, "digest": fit.digest, "reason": "Made this month."}
    assert details_as_read(lines)[lines[1].number] == said


def test_settling_without_votes_or_fits_is_nothing_to_do():
    assert actions.settle_under_new_fit(at=now()) == 0
