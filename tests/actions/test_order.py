"""Statements of order: what came before what, how far others agree, and what a code says."""

from datetime import date

import pytest

from registry import actions
from registry.errors import (
    AlreadyClosed,
    IdentityMoved,
    InTheFuture,
    InvalidField,
    NotPermitted,
    RoleRequired,
    TwinExists,
)
from registry.models import Dispute, JournalEntry, Statement
from tests.factories import (
    NOON,
    AssortmentItemFactory,
    CodePatternFactory,
    MemberFactory,
    ModeratorFactory,
    ReviewerFactory,
    VariantFactory,
)
from tests.path import Scene, now
from tests.pictures import jpeg

from .watching import refused

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


@pytest.fixture
def variant():
    return VariantFactory()


@pytest.fixture
def member():
    return MemberFactory()


def state(variant, by, **said):
    whole = {
        "release": variant.release, "kind": "before", "variant": variant, "source_kind": "makers_notice",
        "source": "a notice", **said,
    }  # fmt: skip
    return actions.make_statement(by=by, at=NOON, **whole)


def test_an_order_and_a_bound_are_stated(variant, member):
    other = VariantFactory(release=variant.release)
    assert state(variant, member, other=other).other == other
    assert state(variant, member, kind="not_after", on=date(2026, 1, 1)).on == date(2026, 1, 1)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({}, "other"),
        ({"kind": "near"}, "kind"),
        ({"kind": "not_before"}, "on"),
        ({"on": date(2026, 1, 1)}, "other"),
        ({"kind": "not_before", "on": date(2027, 1, 1)}, "on"),
        ({"kind": "not_before", "on": date(2026, 1, 1), "source_kind": "dream"}, "source_kind"),
        ({"kind": "not_before", "on": date(2026, 1, 1), "source": ""}, "source"),
    ],
)
def test_a_statement_that_makes_no_sense_is_refused(variant, member, said, field):
    with pytest.raises(InvalidField) as caught:
        state(variant, member, **said)
    assert caught.value.field == field
    assert not Statement.objects.exists()


def test_a_variant_is_not_ordered_with_itself_or_with_one_of_another_release(variant, member):
    elsewhere = VariantFactory()
    for other in (variant, elsewhere):
        with refused(InvalidField, field="other", says=[other.public_id]):
            state(variant, member, other=other)


def test_a_variant_that_is_gone_is_not_ordered(variant, member):
    gone = VariantFactory(release=variant.release, standing="struck")
    with refused(IdentityMoved, field="other"):
        state(variant, member, other=gone)


def test_a_statement_is_taken_back_by_its_author_or_a_moderator(variant, member):
    statement, other = state(variant, member, kind="not_after", on=TODAY), MemberFactory()
    with refused(NotPermitted, says=["Dispute it"]):
        actions.close_statement(statement=statement, by=other, at=now())
    actions.close_statement(statement=statement, by=Scene().moderator, at=now())
    with refused(AlreadyClosed):
        actions.close_statement(statement=statement, by=member, at=now())


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"kind": "packed", "on": date(2026, 1, 1)}, "other"),
        ({"kind": "coded", "on": date(2026, 1, 1)}, "on"),
        ({"kind": "coded"}, "code_pattern"),
        ({"kind": "not_before", "on": date(2026, 1, 1), "code": "G07"}, "code"),
    ],
)
def test_each_kind_names_what_it_needs_and_nothing_else(variant, member, said, field):
    with refused(InvalidField, field=field):
        state(variant, member, **said)


def test_packed_together_needs_the_packing_date(variant, member):
    other = VariantFactory(release=variant.release)
    with refused(InvalidField, field="on", says=["packing date"]):
        state(variant, member, kind="packed", other=other)
    said = state(variant, member, kind="packed", other=other, on=date(2026, 1, 9), source_kind="packing_date")
    assert str(said) == f"{variant} and {other} had both been made by 2026-01-09"


@pytest.mark.parametrize("day", [date(2023, 12, 31), date(1950, 1, 1)])
def test_nothing_of_a_release_of_2025_was_made_before_2024(variant, member, day):
    with refused(InvalidField, field="on", says=["2024-01-01"]):
        state(variant, member, kind="not_after", on=day)
    assert state(variant, member, kind="not_after", on=date(2024, 1, 1)).pk


def test_a_case_known_to_have_been_shipped_earlier_moves_the_first_day(variant, member):
    AssortmentItemFactory(release=variant.release, assortment__opens_on=date(2023, 10, 1))
    assert state(variant, member, kind="not_after", on=date(2023, 12, 31)).pk


def test_the_same_said_again_by_the_same_member_is_there_already(variant, member):
    first = state(variant, member, kind="not_after", on=TODAY)
    with refused(TwinExists, says=[first.shown_id]) as caught:
        state(variant, member, kind="not_after", on=TODAY, source="another")
    assert caught.value.extra == {"statement": first.public_id}
    assert state(variant, MemberFactory(), kind="not_after", on=TODAY).pk != first.pk


# Codes ------------------------------------------------------------------------------------------------------------


def coded(variant, by, **said):
    said = {"kind": "coded", "source_kind": "production_code", "code": "f07", **said}
    return state(variant, by, **said)


def test_a_code_is_read_into_the_days_that_its_pattern_says(variant, member):
    pattern = CodePatternFactory(line=variant.release.line)
    said = coded(variant, member, code_pattern=pattern)
    # Week 7 of 2025 in ISO 8601 began on Monday 10 February.
    assert (said.code, said.on, said.until) == ("F07", date(2025, 2, 10), date(2025, 2, 16))


def test_a_code_that_does_not_fit_its_pattern_is_refused(variant, member):
    pattern = CodePatternFactory(line=variant.release.line)
    with refused(InvalidField, field="code", says=["F7", "2 symbols"]):
        coded(variant, member, code="F7", code_pattern=pattern)
    with refused(InTheFuture, field="code", says=["2027-02-15"]):
        coded(variant, member, code="H07", code_pattern=pattern)
    with refused(InvalidField, field="code", says=["made before 2024-01-01"]):
        coded(variant, member, code="A07", code_pattern=pattern)


def test_a_pattern_of_another_line_reads_nothing_here(variant, member):
    pattern = CodePatternFactory()
    with refused(InvalidField, field="code_pattern", says=[str(variant.release.line)]):
        coded(variant, member, code_pattern=pattern)


def test_a_code_is_the_source_of_what_it_says(variant, member):
    pattern = CodePatternFactory(line=variant.release.line)
    with refused(InvalidField, field="source_kind"):
        coded(variant, member, code_pattern=pattern, source_kind="packing_date")


def add_pattern(line, by, **said):
    whole = {
        "name": "Flap",
        "template": "{yy}{mm}",
        "dates": "packing",
        "first_year": 2000,
        "source": "x",
        **said,
    }
    return actions.add_code_pattern(line=line, by=by, at=NOON, **whole)


def test_moderators_say_how_a_lines_codes_are_read(variant):
    line, moderator, reviewer = variant.release.line, ModeratorFactory(), ReviewerFactory()
    assert add_pattern(line, moderator).pattern.read("2403").earliest == date(2024, 3, 1)
    with refused(TwinExists, field="template"):
        add_pattern(line, moderator)
    with refused(RoleRequired):
        add_pattern(line, reviewer, name="Other")


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"template": "(a+)+$"}, "template"),
        ({"template": "{ww}"}, "template"),
        ({"dates": "dreaming"}, "dates"),
        ({"first_year": 2027}, "first_year"),
        ({"margin_days": 400}, "margin_days"),
        ({"source": ""}, "source"),
    ],
)
def test_a_pattern_that_makes_no_sense_is_refused(variant, said, field):
    moderator = ModeratorFactory()
    with refused(InvalidField, field=field):
        add_pattern(variant.release.line, moderator, **said)


# Standing ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def statement(scene):
    first = VariantFactory(release=scene.release)
    return state(first, scene.author, other=VariantFactory(release=scene.release))


def vote(statement, by, verdict="confirms"):
    return actions.cast_vote(statement=statement, by=by, at=now(), verdict=verdict, basis="photo")


def standing(statement):
    return Statement.objects.get(pk=statement.pk).standing


def test_what_is_still_missing_is_said_from_the_start(statement):
    assert statement.missing == ["three more votes on this order"]


def test_three_reviewers_confirm_a_statement_as_they_would_a_claim(scene, statement):
    for reviewer in scene.reviewers[:3]:
        assert standing(statement) == "open"
        vote(statement, reviewer)
    settled = Statement.objects.get(pk=statement.pk)
    assert (settled.standing, settled.votes_counted, settled.missing) == ("confirmed", 3, [])
    # Three photo votes of 0.80: odds 4 ** 3 = 64 to 1, as design says 0.98.
    assert round(settled.posterior, 4) == round(64 / 65, 4)
    assert JournalEntry.objects.filter(verb="release.settled").last().detail["changes"] == [
        {"kind": "statement", "id": statement.public_id, "from": "open", "to": "confirmed"}
    ]


def test_a_vote_taken_back_opens_a_statement_again(scene, statement):
    for reviewer in scene.reviewers[:3]:
        vote(statement, reviewer)
    actions.withdraw_vote(statement=statement, by=scene.reviewers[0], at=now())
    assert standing(statement) == "open"


def test_members_who_review_nothing_confirm_nothing(statement):
    for _ in range(4):
        vote(statement, MemberFactory())
    assert standing(statement) == "open"


def test_nobody_contests_a_statement_alone_but_a_photo_or_a_second_reviewer_does(scene, statement):
    for reviewer in scene.reviewers[:3]:
        vote(statement, reviewer)
    dispute = actions.open_dispute(
        statement=statement, by=scene.reviewers[4], at=now(), reason="Two lorries."
    )
    assert (standing(statement), dispute.contests) == ("confirmed", False)
    actions.attach_photo(dispute=dispute, by=scene.reviewers[4], at=now(), data=jpeg())
    assert standing(statement) == "disputed"
    missing = Statement.objects.get(pk=statement.pk).missing
    assert missing[0] == "the dispute on this order to end"
    actions.close_dispute(dispute=dispute, by=scene.moderator, at=now(), reason="Same lorry.")
    assert standing(statement) != "disputed"


def test_votes_that_refute_a_statement_end_its_dispute_as_corrected(scene, statement):
    dispute = actions.open_dispute(statement=statement, by=scene.reviewers[0], at=now(), reason="No.")
    for reviewer in scene.reviewers[1:4]:
        vote(statement, reviewer, "contradicts")
    assert standing(statement) == "refuted"
    assert Dispute.objects.get(pk=dispute.pk).outcome == "corrected"


def test_votes_cast_since_that_confirm_a_statement_end_its_dispute_as_upheld(scene, statement):
    dispute = actions.open_dispute(statement=statement, by=scene.reviewers[0], at=now(), reason="No.")
    for reviewer in scene.reviewers[1:4]:
        vote(statement, reviewer)
    assert standing(statement) == "confirmed"
    assert Dispute.objects.get(pk=dispute.pk).outcome == "upheld"


def test_a_statement_taken_back_ends_its_disputes(scene, statement):
    dispute = actions.open_dispute(statement=statement, by=scene.reviewers[0], at=now(), reason="No.")
    actions.close_statement(statement=statement, by=scene.author, at=now())
    assert Dispute.objects.get(pk=dispute.pk).closing_reason == "The statement was taken back."
