"""What tests of the API share."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext


@pytest.fixture
def queries_of() -> Callable[[Callable[[], Any]], int]:
    """How many queries a request costs; it must succeed."""

    def count(ask: Callable[[], Any]) -> int:
        with CaptureQueriesContext(connection) as asked:
            answer = ask()
        assert answer.status_code == 200, answer.content
        return len(asked)

    return count
