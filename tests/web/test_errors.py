"""When there is nothing to show, people get a page and programs get problem details."""

import pytest
from django.test import Client
from django.urls import reverse

from registry.web.views import errors
from tests.path import Scene

pytestmark = pytest.mark.django_db


def test_a_page_that_is_not_there_says_what_to_do(client):
    answer = client.get("/nothing")
    assert answer.status_code == 404
    assert "There is nothing at this address." in answer.text
    assert 'class="masthead"' in answer.text


@pytest.mark.parametrize("status", [400, 403, 404, 500])
def test_under_v1_the_answer_is_for_programs(rf, status):
    answer = errors.answer(rf.get("/v1/nothing"), status)
    assert answer.status_code == status
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert f'"status": {status}'.encode() in answer.content


def test_a_fault_of_ours_is_told_without_database_and_without_its_cause(
    client, django_assert_num_queries, rf
):
    with django_assert_num_queries(0):
        answer = errors.server_error(rf.get("/"))
    assert answer.status_code == 500
    assert b"Traceback" not in answer.content
    assert "Something went wrong on our side." in answer.content.decode()


def test_T32_a_foreign_host_is_refused(client):
    answer = client.get("/", headers={"host": "elsewhere.test"})
    assert answer.status_code == 400
    assert "elsewhere" not in answer.text


def test_T32_a_form_without_its_token_is_refused_and_changes_nothing():
    scene = Scene()
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(scene.author)
    draft = scene.draft()
    for path in (
        f"/drafts/{draft.public_id}/withdraw",
        "/account/tokens",
        f"/cabinet/put/{scene.release.public_id}",
    ):
        answer = strict.post(path, {"name": "x", "condition": "loose", "count": "1", "to_swap": "0"})
        assert answer.status_code == 403
        assert "This form has gone stale." in answer.text
    draft.refresh_from_db()
    assert draft.status == "draft"


def test_T32_a_form_from_another_site_is_refused():
    scene = Scene()
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(scene.author)
    page = strict.get("/account")
    token = page.context["csrf_token"]
    answer = strict.post(
        "/account/tokens",
        {"name": "x", "scopes": "read", "days": "1", "csrfmiddlewaretoken": str(token)},
        headers={"origin": "https://evil.test"},
    )
    assert answer.status_code == 403


def test_T32_every_step_that_changes_something_wants_a_post(client):
    scene = Scene()
    client.force_login(scene.moderator)
    public_id = scene.release.public_id
    for name, named in [
        ("begin-report", {}),
        ("withdraw-draft", {"public_id": public_id}),
        ("draft-upload", {"public_id": public_id}),
        ("withdraw-vote", {"public_id": public_id}),
        ("dispute-vote", {"public_id": public_id}),
        ("dispute-photo", {"public_id": public_id}),
        ("withdraw-dispute", {"public_id": public_id}),
        ("close-dispute", {"public_id": public_id}),
        ("photo-say", {"public_id": public_id}),
        ("photo-restore", {"public_id": public_id}),
        ("publish-edition", {}),
        ("grant-role", {}),
        ("revoke-role", {"public_id": public_id}),
        ("make-token", {}),
        ("revoke-token", {"public_id": public_id}),
        ("end-session", {"number": 1}),
        ("withdraw-sighting", {"public_id": public_id}),
        ("take-item-out", {"public_id": public_id}),
    ]:
        assert client.get(reverse(name, kwargs=named)).status_code == 405, name
