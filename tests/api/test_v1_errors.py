"""Every refusal is a problem document, whatever went wrong."""

import json

import pytest
from django.db import IntegrityError, OperationalError

from api.errors import flatten, pointer
from api.problems import KINDS
from registry import errors
from registry.methods.identifiers import mint
from tests.factories import MakerFactory, MemberFactory

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


def family(root):
    for child in root.__subclasses__():
        yield child
        yield from family(child)


def test_every_refusal_of_the_registry_has_a_problem_of_its_own():
    codes = {child.code for child in family(errors.RegistryError)} | {errors.RegistryError.code}
    assert codes - set(KINDS) == set()


@pytest.mark.parametrize("slug", KINDS)
def test_the_type_of_each_problem_answers_with_what_it_means(slug):
    answer = Caller().get(f"/v1/problems/{slug}")
    assert answer.status_code == 200
    assert answer.json() == {
        "type": f"/v1/problems/{slug}",
        "status": KINDS[slug].status,
        "title": KINDS[slug].title,
        "remedy": KINDS[slug].remedy,
    }


def test_an_unknown_path_is_a_problem():
    problem(Caller().get("/v1/nothing/here"), 404, "not-found")
    problem(Caller().send("DELETE", "/v1/nothing"), 404, "not-found")


def test_a_method_that_a_path_does_not_have_names_those_it_has():
    answer = Caller().delete("/v1/makers")
    problem(answer, 405, "method")
    assert answer["Allow"] == "GET, POST, HEAD, OPTIONS"


@pytest.mark.parametrize("method", ["TRACE", "ROWS", "ASKED", "DISPATCH", "_", "TOLD"])
def test_no_other_word_is_a_method(method):
    problem(Caller().send(method, "/v1/makers"), 405, "method")


def test_an_anonymous_write_is_told_how_to_come_in_before_anything_else():
    answer = Caller().send("POST", "/v1/submissions", b"{nonsense", Content_Type="application/json")
    problem(answer, 401, "token-missing")
    assert answer["WWW-Authenticate"] == 'Bearer realm="castlore"'


def test_an_accept_header_that_nothing_fits_is_406():
    problem(Caller().get("/v1/makers", Accept="text/turtle"), 406, "representation")


def test_a_body_of_another_type_is_415():
    member = Caller(MemberFactory())
    problem(member.post("/v1/submissions", b"<a/>", Content_Type="application/xml"), 415, "media-type")


def test_nobody_learns_the_insides_of_a_failure(monkeypatch, caplog):
    def breaks(*args, **kwargs):
        raise RuntimeError("SELECT secret FROM registry_member")

    monkeypatch.setattr("api.views.catalogue.Makers.rows", breaks)
    caller = Caller()
    caller.client.raise_request_exception = False
    answer = caller.get("/v1/makers")
    told = problem(answer, 500, "internal")
    assert b"secret" not in answer.content
    assert b"Traceback" not in answer.content
    assert told["instance"].removeprefix("urn:uuid:") in caplog.text


def test_a_busy_database_is_503_with_a_time_to_wait(monkeypatch):
    def busy(*args, **kwargs):
        raise OperationalError("database is locked")

    monkeypatch.setattr("api.views.catalogue.Makers.rows", busy)
    answer = Caller().get("/v1/makers")
    problem(answer, 503, "overloaded")
    assert int(answer["Retry-After"]) > 0


def test_two_who_write_the_same_at_once_do_not_break_each_other(monkeypatch, caplog):
    def beaten(*args, **kwargs):
        raise IntegrityError("UNIQUE constraint failed: registry_maker.name")

    monkeypatch.setattr("api.views.catalogue.Makers.add", staticmethod(beaten))
    answer = Caller(MemberFactory(roles=["moderator"])).post("/v1/makers", {"name": "Grebe Works"})
    told = problem(answer, 409, "wrong-moment")
    assert "registry_maker" not in str(told)
    assert "registry_maker" in caplog.text


def test_an_id_spelled_otherwise_is_led_to_its_one_spelling():
    maker = MakerFactory()
    answer = Caller().get(f"/v1/makers/{maker.shown_id.upper()}?fields=id")
    assert answer.status_code == 301
    assert answer["Location"] == f"/v1/makers/{maker.public_id}?fields=id"
    assert answer["Cache-Control"] == "max-age=300"


def test_a_mistyped_id_is_found_out_without_asking_the_database(django_assert_num_queries):
    good = mint()
    wrong = ("b" if good[0] != "b" else "c") + good[1:]
    with django_assert_num_queries(0):
        problem(Caller().get(f"/v1/makers/{wrong}"), 404, "identifier-invalid")
        problem(Caller().get(f"/v1/makers/{'9' * 300}"), 404, "identifier-invalid")


def test_an_id_of_nothing_is_404():
    problem(Caller().get(f"/v1/makers/{mint()}"), 404, "not-found")


def test_validation_errors_point_at_each_field():
    found = list(
        flatten(
            {
                "claims": [{}, {"state": [{"message": "no", "code": "x"}]}],
                "a/b": [{"message": "m", "code": "y"}],
            }
        )
    )
    assert found == [
        {"pointer": "/claims/1/state", "code": "x", "detail": "no"},
        {"pointer": "/a~1b", "code": "y", "detail": "m"},
    ]
    assert pointer("claims[0].state") == "/claims/0/state"


def test_a_refused_field_is_pointed_at():
    moderator = MemberFactory(roles=["moderator"])
    answer = Caller(moderator).post("/v1/makers", {"name": "Tide\u0007works"})
    told = problem(answer, 422, "validation-failed")
    assert [entry["pointer"] for entry in told["errors"]] == ["/name"]
    assert "U+0007" in json.dumps(told, ensure_ascii=False)
