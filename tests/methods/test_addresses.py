"""Which part of an address is shared, and that only a keyed digest of it is kept."""

import pytest

from registry.methods.addresses import keyed_digest, sender, shared_prefix


@pytest.mark.parametrize(
    ("address", "prefix"),
    [
        ("198.51.100.7", None),  # a documentation range (RFC 5737) is nobody's
        ("8.8.4.4", "8.8.4.0/24"),
        (" 8.8.4.4 ", "8.8.4.0/24"),
        ("::ffff:8.8.4.4", "8.8.4.0/24"),
        ("2600:1:2:3::9", "2600:1:2::/48"),
        ("127.0.0.1", None),
        ("10.1.2.3", None),
        ("::1", None),
        ("unix:", None),
        ("", None),
    ],
)
def test_the_prefix_that_a_household_shares(address, prefix):
    assert shared_prefix(address) == prefix


def test_the_digest_takes_the_key():
    assert keyed_digest("8.8.4.0/24", "one") != keyed_digest("8.8.4.0/24", "two")
    assert len(keyed_digest("8.8.4.0/24", "one")) == 64


@pytest.mark.parametrize(
    ("forwarded", "proxies", "address"),
    [("", 0, "1.1.1.1"), ("9.9.9.9", 0, "1.1.1.1"), ("9.9.9.9, 8.8.8.8", 1, "8.8.8.8"),
     ("6.6.6.6, 9.9.9.9, 8.8.8.8", 2, "9.9.9.9"), ("9.9.9.9", 2, "1.1.1.1")],
)  # fmt: skip
def test_only_ones_own_proxies_are_believed(forwarded, proxies, address):
    assert sender("1.1.1.1", forwarded, proxies) == address
