"""recompute: settles what was left behind, and with --check only says so."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from registry.models import Claim, JournalEntry, Variant
from tests.path import Scene

pytestmark = pytest.mark.django_db


def recompute(**options: object) -> str:
    out = StringIO()
    call_command("recompute", stdout=out, stderr=out, **options)
    return out.getvalue()


@pytest.fixture
def variant():
    return Scene().baseline()


def test_nothing_changes_where_everything_is_in_line(variant):
    lines = JournalEntry.objects.count()
    assert recompute() == "1 of 1 releases\n0 changed\n"
    assert recompute(check=True) == "1 of 1 releases\n0 would change\n"
    assert JournalEntry.objects.count() == lines


def test_checking_tells_the_difference_and_changes_nothing(variant):
    Variant.objects.filter(pk=variant.pk).update(standing="provisional")
    with pytest.raises(CommandError, match="1 would change. Run recompute without --check"):
        recompute(check=True)
    variant.refresh_from_db()
    assert variant.standing == "provisional"


def test_recomputing_brings_it_in_line(variant):
    Variant.objects.filter(pk=variant.pk).update(standing="provisional")
    out = recompute()
    variant.refresh_from_db()
    assert variant.standing == "verified"
    assert f"variant {variant.public_id}: provisional becomes verified" in out
    assert out.endswith("1 changed\n")


def test_a_difference_beside_the_standing_is_found_too(variant):
    claim = Claim.objects.filter(variant=variant, trait__key="crest").get()
    Claim.objects.filter(pk=claim.pk).update(votes_counted=77)
    with pytest.raises(CommandError, match="1 would change"):
        recompute(check=True)
    assert f"claim {claim.public_id}: confirmed as before" in recompute()
    claim.refresh_from_db()
    assert claim.votes_counted == 3


def test_one_release_that_fails_does_not_stop_the_others(variant, monkeypatch):
    from registry.management.commands import recompute as command

    other = Scene().baseline()
    Variant.objects.filter(pk=other.pk).update(standing="provisional")
    settle = command.actions.settle_release

    def settle_all_but_first(*, release, at):
        if release.pk == variant.release_id:
            raise ValueError("a dispute names a claim that is not there")
        return settle(release=release, at=at)

    monkeypatch.setattr(command.actions, "settle_release", settle_all_but_first)
    with pytest.raises(CommandError, match="1 of 2 releases could not be recomputed; 1 changed"):
        recompute()
    other.refresh_from_db()
    assert other.standing == "verified"
