"""What holds of every action alike: one journal line, no right without a role, no trace of a refusal."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.errors import AccountClosed, NotFound, RoleRequired
from registry.models import Member
from registry.queries.journal import details_as_read
from tests.factories import MemberFactory, ModeratorFactory, ReviewerFactory
from tests.path import Scene

from .deeds import BELONGINGS, DEEDS, call
from .watching import journal_lines, refused

WRITES_NOTHING_ITSELF = {
    "FILES", "Part", "edition_file", "write_files", "parse_fragment", "token_digest", "settle_release", "join",
    "settle_under_new_fit", "note_address", "forget_addresses", "look_for_lockstep", "mail_news", "mark_news_seen",
    "TakenIn", "take_in", "take_in_again", "sweep_photos",
    "compare_photo", "draw_photo",
    "work_out",
    "look_for_chart", "measure_photo",
}  # fmt: skip
NESTED = {"release.settled"}
IN_ANOTHERS_NAME = {"release_held": {"dispute.opened"}}
"""A released dispute is its opener's."""
each_deed = pytest.mark.parametrize("deed", DEEDS, ids=str)
moderators_deeds = pytest.mark.parametrize("deed", [deed for deed in DEEDS if deed.role], ids=str)
pytestmark = pytest.mark.django_db


def test_every_action_is_among_the_deeds():
    assert {deed.action for deed in DEEDS} == set(actions.__all__) - WRITES_NOTHING_ITSELF


@each_deed
def test_success_writes_one_journal_line_of_its_own(deed):
    by = ModeratorFactory()
    do = deed.arrange(Scene(), by)
    with journal_lines() as lines:
        do()
    own = [line for line in lines if line.by == by]
    assert [(line.verb, line.by) for line in own] == [(deed.verb, by)]
    assert {line.verb for line in lines} <= {deed.verb} | NESTED | IN_ANOTHERS_NAME.get(deed.action, set())


@moderators_deeds
def test_the_reason_that_a_moderator_gives_stands_in_the_journal(deed):
    by = ModeratorFactory()
    do = deed.arrange(Scene(), by)
    with journal_lines() as lines:
        do()
    (own,) = [line for line in lines if line.by == by]
    said = getattr(do, "keywords", {}).get("reason", "")
    assert details_as_read([own])[own.number].get("reason", "") == said


@each_deed
def test_the_journal_is_locked_last_so_that_nothing_is_waited_for_under_its_lock(deed):
    do = deed.arrange(Scene(), ModeratorFactory())
    with CaptureQueriesContext(connection) as captured:
        do()
    asked = [query["sql"] for query in captured]
    locks = ("advisory", 'INSERT INTO "registry_journalentry"')
    first = next(n for n, sql in enumerate(asked) if any(lock in sql for lock in locks))
    rest = [sql for sql in asked[first:] if not sql.startswith(("RELEASE", "SAVEPOINT"))]
    assert all("advisory" in sql or "registry_journal" in sql for sql in rest), rest
    assert len(rest) <= 4


@each_deed
def test_T47_a_member_suspended_a_moment_ago_is_refused(deed):
    by = ModeratorFactory()
    do = deed.arrange(Scene(), by)
    Member.objects.filter(pk=by.pk).update(is_active=False)
    with refused(AccountClosed):
        do()


@moderators_deeds
@pytest.mark.parametrize("who", [MemberFactory, ReviewerFactory])
def test_what_moderators_do_is_refused_to_others(deed, who):
    do = deed.arrange(Scene(), who())
    with refused(RoleRequired, says=["moderator"]):
        do()


@moderators_deeds
def test_T47_a_moderator_who_lost_the_role_a_moment_ago_is_refused(deed):
    by = ModeratorFactory()
    assert by.is_moderator
    do = deed.arrange(Scene(), by)
    by.role_grants.update(revoked_at=by.joined_at)
    with refused(RoleRequired):
        do()


@pytest.mark.parametrize("action", BELONGINGS)
def test_T26_another_members_belongings_are_not_there(action):
    do = call(action, ModeratorFactory(), **BELONGINGS[action](Scene()))
    with pytest.raises(NotFound) as caught:
        do()
    assert caught.value.code == "not-found"


def test_joining_is_noted_without_the_address():
    member = MemberFactory(email="gull@example.test")
    with journal_lines() as lines:
        actions.join(member=member, at=member.joined_at)
    assert [(line.verb, line.about_id) for line in lines] == [("member.joined", member.public_id)]
    assert "gull" not in str(lines[0].detail)
