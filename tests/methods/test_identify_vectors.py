"""One set of test vectors, answered alike by identify and by its twin for use without a network."""

import json
import shutil
import subprocess

import pytest

from registry.methods.identify.plain import observation_of
from tests.methods.identify_vectors import PATH, assert_same, vectors, written

TWIN = PATH.parents[2] / "registry" / "static" / "registry" / "identify.js"
RUN = """
const { readFileSync } = await import("node:fs");
const { identify } = await import("data:text/javascript," + encodeURIComponent(readFileSync(process.argv[1], "utf8")));
const vectors = JSON.parse(readFileSync(process.argv[2], "utf8"));
console.log(JSON.stringify(vectors.map((each) => identify(each.table, each.observations, each.options))));
"""


def test_the_written_vectors_are_what_identify_answers():
    assert_same(vectors(), written())
    reasons = {vector["answer"]["advice"]["reason"] for vector in written()}
    assert reasons == {"go_on", "nothing_left", "settled", "little_to_gain"}


@pytest.mark.skipif(not shutil.which("node"), reason="without node, the browser tests run the twin")
def test_the_twin_answers_the_same_under_node():
    done = subprocess.run(
        [shutil.which("node"), "--input-type=module", "--eval", RUN, "--", str(TWIN), str(PATH)],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert_same(json.loads(done.stdout), [vector["answer"] for vector in written()])


@pytest.mark.parametrize(
    ("plain", "words"),
    [
        ({"seen": "gold"}, "names a trait"),
        ({"trait": "wheels"}, "names a trait and one of"),
        ({"trait": "wheels", "seen": "gold", "not_visible": True}, "names a trait and one of"),
        ({"trait": "wheels", "seen": "gold", "error": 1}, "names a trait and one of"),
        ({"trait": "wheels", "not_visible": False}, "can only be true"),
        ({"trait": "length", "value": 5}, "needs an error"),
    ],
)
def test_a_plain_observation_of_no_known_kind_is_refused(plain, words):
    with pytest.raises(ValueError, match=words):
        observation_of(plain)
