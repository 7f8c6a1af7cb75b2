"""What one looks for: kept as chosen, never half, never by an old copy."""

import pytest

from registry import actions
from registry.errors import Conflict, InvalidField
from registry.models import Hunt, Trait
from tests.factories import LineFactory, MemberFactory, TraitFactory
from tests.path import now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    return MemberFactory()


def test_what_is_not_named_stays(member):
    line, trait = LineFactory(), TraitFactory()
    hunt = actions.set_hunt(by=member, at=now(), expected_revision=0, depth="traits", traits=[trait, trait])
    hunt = actions.set_hunt(by=member, at=now(), expected_revision=1, with_errors=True, lines=[line])
    hunt.refresh_from_db()
    assert (hunt.depth, hunt.with_errors, hunt.with_samples, hunt.revision) == ("traits", True, False, 2)
    assert (list(hunt.traits.all()), list(hunt.lines.all())) == ([trait], [line])
    assert Hunt.objects.count() == 1


def test_a_merged_detail_is_kept_as_the_one_that_took_its_place(member):
    survivor = TraitFactory()
    old = TraitFactory(line=survivor.line, acceptance="merged", merged_into=survivor)
    hunt = actions.set_hunt(by=member, at=now(), depth="traits", traits=[old])
    assert list(hunt.traits.all()) == [survivor]


def test_T42_an_old_copy_changes_nothing(member):
    actions.set_hunt(by=member, at=now(), depth="release")
    for stale in (0, 2):
        with refused(Conflict):
            actions.set_hunt(by=member, at=now(), expected_revision=stale, depth="casting")


@pytest.mark.parametrize(
    ("said", "field"),
    [({"depth": "all"}, "depth"), ({"with_errors": "yes"}, "with_errors"), ({"lines": "x"}, "lines"),
     ({"lines": [3]}, "lines"), ({"depth": "traits"}, "traits"), ({"depth": "traits", "traits": []}, "traits"),
     ({"member": 2}, "member"), ({"revision": 9}, "revision")],
)  # fmt: skip
def test_T25_a_choice_that_makes_no_sense_is_refused(said, field, member):
    with refused(InvalidField, field=field):
        actions.set_hunt(by=member, at=now(), **said)
    cause = Trait.objects.filter(key="cause", line=None, casting=None).first()
    if cause:
        with refused(InvalidField, field="traits"):
            actions.set_hunt(by=member, at=now(), traits=[cause])
    assert not Hunt.objects.exists()
