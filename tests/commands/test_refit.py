"""refit: makes a fit, tries one out, adopts one, and finishes what was broken off."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from registry import actions
from registry.models import Fit, FitAdoption, JournalEntry, Release
from tests.actions.watching import everything
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def refit(**options: object) -> str:
    out = StringIO()
    call_command("refit", stdout=out, stderr=out, **options)
    return out.getvalue()


@pytest.fixture
def scene():
    scene = Scene()
    scene.baseline()
    return scene


def test_a_fit_is_made_and_decides_nothing(scene):
    out = refit()
    assert out.startswith("Fit 1: 6 votes by 3 reviewers on 2 claims, learnt in ")
    assert Fit.objects.get().digest in out
    assert not FitAdoption.objects.exists()
    assert "settled" not in out


def test_adopting_settles_every_release_and_says_so(scene):
    out = refit(adopt=True)
    assert "Fit 1 is in force.\n1 of 1 releases settled under it\n" in out
    assert Release.objects.get(pk=scene.release.pk).settled_fit == Fit.objects.get()
    out = StringIO()
    call_command("recompute", check=True, stdout=out)
    assert out.getvalue().endswith("0 would change\n")


def test_running_again_makes_the_next_fit_and_finishes_what_was_left(scene):
    refit(adopt=True)
    Release.objects.update(settled_fit=None)
    out = refit()
    assert out.startswith("1 of 1 releases settled under it\nFit 2: ")
    assert [line.verb for line in JournalEntry.objects.filter(verb__startswith="fit")] == [
        "fit.made",
        "fit.adopted",
        "fit.made",
    ]


def test_a_dry_run_tells_what_would_change_and_keeps_nothing(scene):
    claim = claim_on(scene.release.variants.get(), scene.crest)
    type(claim).objects.filter(pk=claim.pk).update(standing="open")
    before = everything()
    out = refit(dry_run=True)
    assert everything() == before
    assert f"claim {claim.public_id}: open becomes confirmed\n" in out
    assert out.endswith("Standings that would change: 1 of claims. Nothing was kept.\n")


def test_a_dry_run_foretells_what_adopting_does(scene):
    """Two who contradict whatever is shown lose their say, so that what they kept open is confirmed."""
    variants = [scene.release.variants.get()]
    for n in range(8):
        state = actions.add_state(
            by=scene.moderator, at=now(), trait=scene.stripe, key=f"b{n}", name=f"band {n}"
        )
        variants.append(scene.report(state, base=variants[0], cause="running_change"))
        scene.show(variants[-1])
        claim = claim_on(variants[-1], scene.stripe)
        scene.vote(claim, voters=4 if n else 3)
        for contrary in scene.reviewers[4:6]:
            actions.cast_vote(claim=claim, by=contrary, at=now(), verdict="contradicts", basis="photo")
    kept_open = claim_on(variants[1], scene.stripe)
    assert kept_open.standing == "open"
    foretold = {line for line in refit(dry_run=True).splitlines() if "becomes" in line}
    assert f"{scene.release}: claim {kept_open.public_id}: open becomes confirmed" in foretold
    refit(adopt=True)
    changes = JournalEntry.objects.filter(verb="release.settled").latest("pk").detail["changes"]
    assert foretold == {
        f"{scene.release}: {one['kind']} {one['id']}: {one['from']} becomes {one['to']}" for one in changes
    }


def test_without_votes_there_is_nothing_to_learn():
    with pytest.raises(CommandError, match="nothing to learn from"):
        refit(adopt=True)
