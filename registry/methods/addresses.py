"""The part of a network address that a household or an office shares, and a keyed digest of it.

The address itself is kept nowhere: only a digest that nobody can turn back without the site's secret.
"""

import hmac
from ipaddress import IPv6Address, ip_address, ip_network

PREFIX_IPV4, PREFIX_IPV6 = 24, 48


def shared_prefix(address: str) -> str | None:
    """The /24 or /48 that an address lies in; an IPv4 address written in IPv6 is taken as what it is.

    None for what is no address, and for loopback and private ones, behind which anybody may stand.
    """
    try:
        found = ip_address(address.strip())
    except ValueError:
        return None
    if isinstance(found, IPv6Address) and found.ipv4_mapped:
        found = found.ipv4_mapped
    if found.is_private or found.is_loopback or found.is_unspecified:
        return None
    return str(ip_network((found, PREFIX_IPV4 if found.version == 4 else PREFIX_IPV6), strict=False))


def keyed_digest(prefix: str, secret: str) -> str:
    """HMAC-SHA-256 (RFC 2104) of a prefix under the site's secret, 64 hex digits."""
    return hmac.new(f"address {secret}".encode(), prefix.encode(), "sha256").hexdigest()


def sender(remote: str, forwarded_for: str, proxies: int) -> str:
    """The client's address: with `proxies` of one's own in front, what the outermost of them saw; else the peer's.

    What the client itself writes into X-Forwarded-For stands further left and is never believed.
    """
    seen = [part.strip() for part in forwarded_for.split(",") if part.strip()]
    return seen[-proxies] if 0 < proxies <= len(seen) else remote
