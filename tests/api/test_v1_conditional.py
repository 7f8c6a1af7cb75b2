"""Entity tags and preconditions (RFC 9110 sections 8.8.3, 13.1.1, 13.1.2, 15.4.5)."""

import hashlib
import json

import pytest
from rest_framework.test import APIRequestFactory

from api.conditional import is_current, require_match
from api.problems import Problem
from tests.factories import CastingFactory, MakerFactory, ModeratorFactory

from .caller import Caller, problem

# The table of RFC 9110 section 8.8.3.2: two tags, strong comparison, weak comparison.
COMPARISONS = [
    ('W/"1"', 'W/"1"', False, True),
    ('W/"1"', 'W/"2"', False, False),
    ('W/"1"', '"1"', False, True),
    ('"1"', '"1"', True, True),
]


def asking(**headers):
    return APIRequestFactory().get(
        "/", headers={name.replace("_", "-"): value for name, value in headers.items()}
    )


@pytest.mark.parametrize(("sent", "held", "strong", "weak"), COMPARISONS)
def test_tags_are_compared_as_the_table_of_the_standard_has_it(sent, held, strong, weak):
    if not held.startswith("W/"):  # ours are all strong
        assert is_current(asking(If_None_Match=sent), held) is weak
        if strong:
            require_match(asking(If_Match=sent), held)
        else:
            with pytest.raises(Problem, match="out of date|Read the record"):
                require_match(asking(If_Match=sent), held)


def test_a_star_matches_whatever_is_there():
    assert is_current(asking(If_None_Match="*"), '"1"')
    require_match(asking(If_Match="*"), '"1"')


def test_a_list_of_tags_matches_by_any_of_them():
    assert is_current(asking(If_None_Match='"a", W/"b" ,"c"'), '"b"')
    require_match(asking(If_Match='"a","b"'), '"b"')
    assert not is_current(asking(If_None_Match='"ab'), '"b"')


@pytest.mark.django_db
def test_what_has_not_changed_is_answered_with_nothing():
    maker = MakerFactory()
    first = Caller().get(f"/v1/makers/{maker.public_id}")
    again = Caller().get(f"/v1/makers/{maker.public_id}", if_none_match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    for name in ("ETag", "Cache-Control", "Vary"):
        assert again[name] == first[name]
    assert "Content-Type" not in again
    assert first["ETag"] == f'"{hashlib.sha256(first.content).hexdigest()[:32]}"'


@pytest.mark.django_db
def test_a_list_has_a_tag_too_and_it_moves_with_the_list():
    MakerFactory()
    before = Caller().get("/v1/makers")
    assert Caller().get("/v1/makers", if_none_match=before["ETag"]).status_code == 304
    MakerFactory()
    assert Caller().get("/v1/makers", if_none_match=before["ETag"]).status_code == 200


@pytest.mark.django_db
def test_head_answers_as_get_does_without_the_body():
    maker = MakerFactory()
    whole = Caller().get(f"/v1/makers/{maker.public_id}")
    head = Caller().send("HEAD", f"/v1/makers/{maker.public_id}")
    assert (head.status_code, head.content, head["ETag"]) == (200, b"", whole["ETag"])


@pytest.mark.django_db
def test_a_change_needs_the_tag_of_the_copy_it_was_made_to():
    casting, moderator = CastingFactory(), Caller(ModeratorFactory())
    address = f"/v1/castings/{casting.public_id}"
    etag = Caller().get(address)["ETag"]
    problem(moderator.patch(address, {"name": "Kelp Runner"}), 428, "if-match-required")
    fresh = moderator.patch(address, {"name": "Kelp Runner"}, match=etag)
    assert fresh.status_code == 200, fresh.content
    assert fresh.json()["name"] == "Kelp Runner"
    assert fresh["ETag"] == Caller().get(address)["ETag"] != etag
    stale = moderator.patch(address, {"name": "Bilge Otter"}, match=etag)
    assert problem(stale, 412, "etag-stale")["etag"] == fresh["ETag"] == stale["ETag"]
    weak = moderator.patch(address, {"name": "Bilge Otter"}, match=f"W/{fresh['ETag']}")
    problem(weak, 412, "etag-stale")
    casting.refresh_from_db()
    assert casting.name == "Kelp Runner"


@pytest.mark.django_db
def test_a_patch_of_another_type_is_415():
    casting, moderator = CastingFactory(), Caller(ModeratorFactory())
    answer = moderator.patch(
        f"/v1/castings/{casting.public_id}", json.dumps({}).encode(), match="*", Content_Type="text/plain"
    )
    problem(answer, 415, "media-type")
