"""Canonical bytes against another implementation of RFC 8785, and digests against published values."""

import hashlib
import json
import unicodedata

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.canon import DEEPEST, LARGEST_INTEGER, canonical, leaf_digest, whole_digest

keys = st.text("abcxyz0189_", min_size=1, max_size=6)
texts = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12).map(
    lambda text: unicodedata.normalize("NFC", text)
)
scalars = st.booleans() | st.integers(-LARGEST_INTEGER, LARGEST_INTEGER) | texts
records = st.recursive(
    scalars,
    lambda parts: st.lists(parts, max_size=4) | st.dictionaries(keys, parts, max_size=5),
    max_leaves=25,
)


@given(records)
def test_admitted_values_are_written_as_another_implementation_of_rfc_8785_writes_them(record):
    assert canonical(record) == rfc8785.dumps(record)


@given(records)
def test_what_is_written_reads_back_and_writes_the_same(record):
    written = canonical(record)
    assert canonical(json.loads(written)) == written


@given(st.dictionaries(keys, scalars, min_size=2, max_size=6))
def test_the_order_of_keys_never_matters(record):
    assert canonical(dict(reversed(record.items()))) == canonical(record)


# RFC 8785 section 3.2 and the RFC author's test data, cut down to what the guard admits.
RFC_PARTS = [
    ([56, {"d": True, "10": 3, "1": []}], b'[56,{"1":[],"10":3,"d":true}]'),
    (
        ["This sorting order", "péché", "ignore locale"],
        '["This sorting order","péché","ignore locale"]'.encode(),
    ),
    ({"string": '€$A\'B"\\\\"/'}, b'{"string":"\xe2\x82\xac$A\'B\\"\\\\\\\\\\"/"}'),
    ({"literals": [True, False]}, b'{"literals":[true,false]}'),
    (["Smiley 😂", "ö", "</script>"], '["Smiley 😂","ö","</script>"]'.encode()),
    ([0, -0, 1, -1, 333333333], b"[0,0,1,-1,333333333]"),
    ([9007199254740991, -9007199254740991], b"[9007199254740991,-9007199254740991]"),
    ({}, b"{}"),
]


@pytest.mark.parametrize(("record", "written"), RFC_PARTS)
def test_the_rfcs_own_examples_are_written_byte_for_byte(record, written):
    assert canonical(record) == written


# The six documents of the RFC author's test data; each holds something that the guard is there to refuse.
RFC_WHOLE = [
    ('[56,{"d":true,"10":null,"1":[]}]', r"record\[1\]\.10: null"),
    ('{"peach":"This sorting order","péché":"is wrong according to French"}', "the key 'péché'"),
    ('{"1":{"f":{"f":"hi","F":5},"\\n":56.0},"10":{},"":"empty","a":{}}', "the key 'F'"),
    ('{"unnormalized_unicode":"A\\u030a"}', r"record\.unnormalized_unicode: .* normal form C"),
    (
        '{"numbers":[333333333.33333329,1E30,4.50,2e-3]}',
        r"record\.numbers\[0\]: 333333333.3333333 is not a whole",
    ),
    ('{"string":"\\u20ac$\\u000F\\u000aA"}', r"record\.string: control character U\+000F at position 2"),
    ('{"1":"Control\\u007f"}', r"control character U\+007F"),
    ('{"\\ufb33":"Hebrew Letter Dalet With Dagesh"}', "the key"),
]


@pytest.mark.parametrize(("text", "says"), RFC_WHOLE)
def test_what_makes_canonical_json_hard_is_refused_with_its_path(text, says):
    with pytest.raises(ValueError, match=says):
        canonical(json.loads(text))


@pytest.mark.parametrize(
    ("record", "says"),
    [
        ({"n": 2**53}, "beyond"),
        ({"n": -(2**53)}, "beyond"),
        ({"n": float("nan")}, "whole number"),
        ({"n": 1.0}, "whole number"),
        ({"a": [{"b": None}]}, r"record\.a\[0\]\.b: null"),
        ({"A": 1}, "the key 'A'"),
        ({"": 1}, "the key ''"),
        ({"a-b": 1}, "the key 'a-b'"),
        ({"a\n": 1}, "the key"),
        ({1: "x"}, "the key 1"),
        ({"s": "half \ud83d"}, r"record\.s: half of a character, U\+D83D, at position 5"),
        ({"s": "bell\x07"}, r"U\+0007 at position 4"),
        ({"s": "line\nbreak"}, r"U\+000A"),
        ({"s": "\x85"}, r"U\+0085"),
        ({"s": b"bytes"}, "a bytes has no place"),
        ({"s": {1, 2}}, "a set has no place"),
    ],
)
def test_other_unfit_values_are_refused_with_their_path(record, says):
    with pytest.raises(ValueError, match=says):
        canonical(record)


def test_nesting_is_bounded():
    record = []
    for _ in range(DEEPEST):
        record = [record]
    assert canonical(record) == b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1)
    with pytest.raises(ValueError, match="deep"):
        canonical([record])


# FIPS 180-4 example values (NIST), reproduced with hashlib.
FIPS = [
    (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
    (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
]


@pytest.mark.parametrize(("content", "digest"), FIPS)
def test_whole_digests_are_sha_256(content, digest):
    assert whole_digest(content) == digest


# Leaf hashes of the Certificate Transparency reference tests (RFC 6962 section 2.1).
LEAVES = [
    (b"", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"),
    (b"L123456", "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"),
]


@pytest.mark.parametrize(("record", "digest"), LEAVES)
def test_leaf_digests_are_rfc_6962_leaf_hashes(record, digest):
    assert leaf_digest(record) == digest


def test_a_leaf_digest_is_the_sha_256_of_a_zero_byte_and_the_canonical_bytes():
    record = canonical({"title": "Kelp Runner, gold wheels", "revision": 2})
    assert leaf_digest(record) == hashlib.sha256(bytes([0]) + record).hexdigest()
    assert leaf_digest(record) != whole_digest(record)
