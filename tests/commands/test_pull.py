"""The demo's other program: it fetches from a site that really listens, and does not take a wrong list."""

import gzip
import hashlib

import pytest

from registry import actions
from registry.management.scenario import pull as pulling
from registry.management.scenario.files import ScenarioFault
from registry.management.scenario.pull import pull, served_on_loopback
from tests.path import Scene, now


@pytest.mark.django_db(transaction=True)
def test_an_edition_is_fetched_over_http_and_is_unchanged_the_second_time(settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    scene = Scene()
    variant = scene.baseline()
    edition = actions.publish_edition(by=scene.moderator, at=now())
    with served_on_loopback() as site:
        pulled = pull(site, 1)
    assert pulled.digest == edition.digest
    assert [record["id"] for record in pulled.records] == [variant.public_id]
    assert pulled.is_unchanged


@pytest.mark.django_db(transaction=True)
def test_an_edition_that_is_not_there_is_said_with_its_address(settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    with served_on_loopback() as site:
        with pytest.raises(
            ScenarioFault, match=f"{site}/v1/editions/7/edition.json could not be fetched.*404"
        ):
            pull(site, 7)


def test_a_list_other_than_the_one_named_is_not_taken(monkeypatch):
    lines = b'{"id":"one"}\n'
    answers = {
        "edition.json": b'{"digest":"%s"}' % hashlib.sha256(b"another").hexdigest().encode(),
        "variants.ndjson.gz": gzip.compress(lines),
    }
    monkeypatch.setattr(pulling, "fetch", lambda address: (answers[address.rsplit("/", 1)[1]], "etag"))
    with pytest.raises(ScenarioFault, match="not the one that its edition.json names"):
        pull("site", 1)
