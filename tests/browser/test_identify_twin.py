"""Identify without a network: its twin in the browser answers the shared test vectors as the server does."""

import pytest

from tests.methods.identify_vectors import assert_same, written

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RUN = """async ([path, vectors]) => {
  const { identify } = await import(path);
  return vectors.map((each) => identify(each.table, each.observations, each.options));
}"""


def test_the_twin_answers_the_same_in_the_browser(open_page):
    vectors = written()
    answers = open_page("/").evaluate(RUN, ["/static/registry/identify.js", vectors])
    for vector, answer in zip(vectors, answers, strict=True):
        assert_same(answer, vector["answer"], vector["what"])
