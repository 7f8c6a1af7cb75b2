"""Each page with its style and scripts weighs 100 kB at most as it is sent, before photographs."""

import gzip
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

from tests.web.everything import world

pytestmark = pytest.mark.django_db
MOST_BYTES = 100_000


def packed(data: bytes) -> int:
    return len(gzip.compress(data, 6))


def files_of(text: str) -> set[str]:
    """Styles and scripts that the page names, those that a script loads later as well."""
    return set(re.findall(rf'"{settings.STATIC_URL}([^"]+\.(?:js|css))"', text))


def test_no_page_weighs_more_than_a_slow_network_bears(as_member):
    weights = {}
    for name, (path, member) in world(rows=20).pages.items():
        text = as_member(member).get(path).text
        files = [Path(str(finders.find(file))).read_bytes() for file in files_of(text)]
        assert len(files) >= 4, name
        weights[name] = packed(text.encode()) + sum(map(packed, files))
    assert {name: weight for name, weight in weights.items() if weight > MOST_BYTES} == {}
