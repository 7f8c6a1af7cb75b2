"""The API's document: committed, served, true of every answer seen, and enough to make requests from."""

import json
import os
from pathlib import Path

import pytest
import schemathesis
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, settings
from openapi_spec_validator import OpenAPIV31SpecValidator

from api.views.about import api_document
from registry.conf.wsgi import application
from tests.factories import ModeratorFactory
from tests.path import Scene

from .caller import Caller

ROOT = Path(__file__).resolve().parents[2]
DOCUMENT = json.loads(api_document())
ONLY_ASKS = {"/v1/identify"}  # a POST that changes nothing needs no key
schema = schemathesis.openapi.from_dict(DOCUMENT)
schema.app = application
schema.config.phases.coverage.enabled = bool(
    os.environ.get("EVERY_CASE")
)  # thousands: by hand, not in the suite
schema.config.phases.coverage.unexpected_methods = set()

CONDITIONAL = {"delete /v1/cabinet/{public_id}"} | {
    f"post /v1/variants/{{public_id}}/{event}" for event in ("merge", "split", "strike", "restore", "retitle")
}
"""Changes of what somebody has read before, other than by PATCH."""


def test_the_committed_document_is_what_the_code_says(tmp_path):
    fresh = tmp_path / "openapi.json"
    call_command("spectacular", validate=True, fail_on_warn=True, format="openapi-json", file=str(fresh))
    assert fresh.read_text() == (ROOT / "api" / "openapi.json").read_text(), (
        "run the command in DEVELOPERS.md"
    )


def test_the_document_is_valid_openapi_3_1():
    assert DOCUMENT["openapi"].startswith("3.1.")
    assert list(OpenAPIV31SpecValidator(DOCUMENT).iter_errors()) == []


@pytest.mark.django_db
def test_the_document_is_served():
    answer = Caller().get("/v1/openapi.json")
    assert answer["Content-Type"] == "application/json"
    assert answer.json() == DOCUMENT
    assert Caller().get("/v1/openapi.json", if_none_match=answer["ETag"]).status_code == 304


def operations():
    return [
        (path, method, operation)
        for path, found in DOCUMENT["paths"].items()
        for method, operation in found.items()
        if method in ("get", "post", "put", "patch", "delete")
    ]


def test_every_operation_says_what_it_does_and_how_it_refuses():
    for path, method, operation in operations():
        where = f"{method} {path}"
        assert operation.get("description"), where
        assert {"400", "401", "406", "429"} <= set(operation["responses"]), where
        for status, answer in operation["responses"].items():
            if int(status) >= 400:
                told = DOCUMENT["components"]["responses"][answer["$ref"].rpartition("/")[2]]
                assert list(told["content"]) == ["application/problem+json"], where
        parameters = {parameter["name"] for parameter in operation.get("parameters", [])}
        changes = method == "post" and path not in ONLY_ASKS
        assert ("Idempotency-Key" in parameters) is changes, where
        assert ("If-Match" in parameters) is (method == "patch" or where in CONDITIONAL), where
    assert len({operation["operationId"] for _, _, operation in operations()}) == len(operations())


@pytest.fixture
def token(db, settings):
    """A moderator's token. Requests come from outside the test client: connections must outlive them, and nobody
    closes their answers, so uploads are kept in memory."""
    settings.FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.MemoryFileUploadHandler"]
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    scene = Scene()
    scene.report(scene.anchor, scene.red)
    yield Caller(ModeratorFactory()).secret
    for signal in signals:
        signal.connect(close_old_connections)


@schema.parametrize()
@settings(
    max_examples=4,
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_no_request_made_from_the_document_breaks_anything(case, token):
    answer = case.call(headers={"Authorization": f"Bearer {token}"})
    assert answer.status_code < 500, answer.text
    described = DOCUMENT["paths"][case.operation.path][case.operation.method]["responses"]
    assert str(answer.status_code) in described, f"{answer.status_code} is not described: {answer.text}"
