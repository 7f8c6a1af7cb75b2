"""The journal as actions write it: one chain without gaps, personal words beside it, and bending it never unseen."""

import pytest
from django.db import connection, transaction

from registry import actions
from registry.errors import RoleRequired, WrongMoment
from registry.methods.chain import BEGINNING, commitment
from registry.models import JournalEntry, JournalSecret, journal_last
from registry.queries.journal import details_as_read, published_heads
from tests.factories import NOON, MemberFactory, ModeratorFactory, TraitFactory
from tests.path import Scene, claim_on, now

from .bending import bend, first_fault, reading, unguarded

pytestmark = pytest.mark.django_db


def note(verb: str, **detail) -> None:
    member = MemberFactory()
    JournalEntry.objects.record(by=member, verb=verb, about=member, at=now(), detail=detail)


@pytest.fixture
def nine():
    """Nine lines, none of which holds personal words."""
    for n in range(9):
        note("trait.added", n=n, of=None)


@pytest.fixture
def published():
    """A registry with an edition, so that something vouches for the journal; answers what that vouches for."""
    scene = Scene()
    scene.baseline()
    actions.publish_edition(by=scene.moderator, at=now())
    claim = claim_on(scene.release.variants.get(), scene.stripe)
    actions.withdraw_vote(claim=claim, by=scene.reviewers[0], at=now())
    return published_heads()[0]


def test_every_line_of_the_main_path_is_chained_without_a_gap(published):
    lines = JournalEntry.objects.order_by("number")
    assert [line.number for line in lines] == list(range(1, len(lines) + 1))
    assert [line.previous for line in lines] == [BEGINNING, *(line.digest for line in lines)][:-1]
    assert [line.pk for line in lines] == [line.pk for line in JournalEntry.objects.order_by("pk")]
    assert reading().fault is None
    assert reading().size == len(lines) > published.size > 10


def test_an_edition_vouches_for_the_journal_up_to_the_line_before_its_own(published):
    own = JournalEntry.objects.get(verb="edition.published")
    assert (published.size, published.digest) == (own.number - 1, own.previous)
    assert published.vouched_by == "List no. 1"


def test_a_refused_action_leaves_no_number_unused():
    with pytest.raises(RoleRequired):
        actions.suspend(member=MemberFactory(), by=MemberFactory(), reason="Spam.", at=now())
    note("trait.added")
    assert list(JournalEntry.objects.values_list("number", flat=True)) == [1]


def test_lines_of_an_action_that_another_one_gave_up_are_not_written():
    member, moderator = MemberFactory(), ModeratorFactory()
    with transaction.atomic(), journal_last():
        actions.suspend(member=member, by=moderator, reason="Spam.", at=now())
        assert not JournalEntry.objects.exists()
        with pytest.raises(WrongMoment):
            actions.suspend(member=member, by=moderator, reason="Again.", at=now())
    assert [line.verb for line in JournalEntry.objects.all()] == ["member.suspended"]


def test_a_fraction_has_no_place_in_a_line():
    with pytest.raises(ValueError, match="not a whole number"):
        note("trait.added", share=0.5)
    assert not JournalEntry.objects.exists()


# Personal words ---------------------------------------------------------------------------------------------------


@pytest.fixture
def suspended():
    member = MemberFactory()
    actions.suspend(member=member, by=ModeratorFactory(), reason="Shouted at the harbour.", at=now())
    return JournalEntry.objects.get(verb="member.suspended")


def test_a_reason_is_kept_beside_the_line_which_commits_to_it(suspended):
    secret = JournalSecret.objects.get()
    assert suspended.detail["reason"] == {"commitment": commitment(secret.salt, "Shouted at the harbour.")}
    assert suspended.detail["member"] == suspended.about_id
    assert len(bytes.fromhex(secret.salt)) == 32
    assert details_as_read([suspended])[suspended.number]["reason"] == "Shouted at the harbour."


def test_T52_with_salt_and_value_erased_the_chain_still_verifies(suspended):
    note("trait.added")
    JournalSecret.objects.all().delete()
    assert first_fault() is None
    assert details_as_read([suspended])[suspended.number]["reason"] == suspended.detail["reason"]


def test_the_same_words_twice_are_two_commitments():
    moderator, member = ModeratorFactory(), MemberFactory()
    actions.suspend(member=member, by=moderator, reason="Spam.", at=now())
    actions.reinstate(member=member, by=moderator, reason="Spam.", at=now())
    first, second = (line.detail["reason"]["commitment"] for line in JournalEntry.objects.all())
    assert first != second


# Bending ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("column", "value"), [
    ("verb", "vote.withdrawn"), ("about_id", "x"), ("about_kind", "x"), ("detail", '{"n": 4}'), ("by_id", None),
    ("at", "2020-01-01 00:00:00+00:00"), ("digest", "0" * 64),
])  # fmt: skip
def test_T52_an_edited_row_is_named(nine, column, value):
    bend("UPDATE {table} SET {column} = %s WHERE number = 5", value, column=column)
    assert first_fault() == (5, "changed")


def test_T52_a_deleted_row_is_named(nine):
    bend("DELETE FROM {table} WHERE number = 4")
    assert first_fault() == (4, "missing")


def test_T52_a_deleted_row_is_named_though_the_rest_moved_up(nine):
    bend("DELETE FROM {table} WHERE number = 4")
    for number in range(5, 10):
        bend("UPDATE {table} SET number = %s WHERE number = %s", number - 1, number)
    assert first_fault() == (4, "missing")


def test_T52_an_inserted_row_is_named(nine):
    for number in range(9, 5, -1):
        bend("UPDATE {table} SET number = %s WHERE number = %s", number + 1, number)
    note("trait.added", n=99)
    bend("UPDATE {table} SET number = 6, digest = %s WHERE number = 11", "e" * 64)
    assert first_fault() == (6, "inserted")


def test_T52_two_rows_that_changed_places_are_named(nine):
    for a, b in ((3, 90), (7, 3), (90, 7)):
        bend("UPDATE {table} SET number = %s WHERE number = %s", b, a)
    assert first_fault() == (3, "reordered")


def test_T52_a_tail_that_was_cut_off_is_found_against_the_last_edition(published):
    JournalSecret.objects.all().delete()
    bend("DELETE FROM {table} WHERE number > %s", published.size)
    assert first_fault() is None
    bend("DELETE FROM {table} WHERE number > %s", published.size - 3)
    assert first_fault() == (published.size - 2, "cut off")


def test_T52_guards_are_back_after_bending(nine):
    with unguarded():
        pass
    with pytest.raises(Exception, match="never changed or removed"), transaction.atomic():
        connection.cursor().execute("UPDATE registry_journalentry SET verb = 'x'")


# The lines there were before the chain ----------------------------------------------------------------------------


def test_lines_from_before_the_chain_are_numbered_linked_and_their_words_put_aside():
    from importlib import import_module

    from django.apps import apps

    step = import_module("registry.migrations.0004_journal_chain")
    for n in range(3):
        note("trait.added", n=n, example=None)
    member = MemberFactory()
    with unguarded() as cursor:
        cursor.execute("UPDATE registry_journalentry SET number = number + 100, digest = '', previous = ''")
        cursor.execute(
            "UPDATE registry_journalentry SET detail = %s WHERE number = 102", ['{"reason": "Too loud."}']
        )
        step.chain(apps, None)
    note("trait.accepted", member=member.public_id)
    lines = list(JournalEntry.objects.order_by("pk"))
    assert [line.number for line in lines] == [1, 2, 3, 4]
    assert first_fault() is None
    assert details_as_read(lines)[2] == {"reason": "Too loud."}
    assert "Too loud." not in str(lines[1].detail)
    with unguarded():
        step.unchain(apps, None)
    assert JournalEntry.objects.get(number=2).detail == {"reason": "Too loud."}


def test_what_is_said_of_a_catalogue_thing_is_no_secret():
    actions.rename(thing=TraitFactory(name="Winch"), by=ModeratorFactory(), at=NOON, name="Winch drum")
    assert not JournalSecret.objects.exists()
