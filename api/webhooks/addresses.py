"""Where a delivery may go. A name is looked up once, and the connection goes to the very address that was judged."""

from __future__ import annotations

import asyncio
import socket
import threading
from concurrent.futures import Future
from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address

Address = IPv4Address | IPv6Address

_PUBLIC_IPV6 = IPv6Network("2000::/3")
"""Global unicast, the part that is given out (IANA, IPv6 address space)."""
_WITH_IPV4_INSIDE = IPv6Network("64:ff9b::/96")
"""Translated to the IPv4 address in its last 32 bits (RFC 6052)."""


class RefusedAddressError(Exception):
    """The address is one that this service does not send to."""


async def look_up(host: str, port: int, *, to_private: bool) -> Address:
    """The first address of the host; RefusedAddressError where any of them is refused, OSError where there is none."""
    found = await _all_addresses(host, port)
    if not to_private:
        for address in found:
            refuse_private(address)
    return found[0]


def refuse_private(address: Address) -> None:
    """RefusedAddressError for whatever is not a public address of another machine (RFC 6890 and its registries)."""
    meant = _meant_by(address)
    in_public_range = meant.version == 4 or meant in _PUBLIC_IPV6
    if not (in_public_range and meant.is_global and not meant.is_multicast):
        raise RefusedAddressError(f"{address} is not a public address")
    if _is_of_this_machine(meant):
        raise RefusedAddressError(f"{address} is an address of this machine")


def is_local_name(host: str) -> bool:
    """A name that means this machine wherever it is looked up (RFC 6761, 6.3)."""
    name = host.rstrip(".").lower()
    return name == "localhost" or name.endswith(".localhost")


def _meant_by(address: Address) -> Address:
    """The IPv4 address at the end of the way, where an IPv6 address carries one."""
    if isinstance(address, IPv4Address):
        return address
    if address in _WITH_IPV4_INSIDE:
        return IPv4Address(int(address) & 0xFFFF_FFFF)
    return address.ipv4_mapped or address.sixtofour or address


def _is_of_this_machine(address: Address) -> bool:
    """Only one's own address is reached from that same address. Connecting a datagram socket sends nothing."""
    family = socket.AF_INET if address.version == 4 else socket.AF_INET6
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((str(address), 9))
            return ip_address(probe.getsockname()[0]) == address
    except OSError:
        return False  # there is no way to it at all


async def _all_addresses(host: str, port: int) -> list[Address]:
    """In the order of preference of this machine.

    In a thread that nobody waits for: a resolver that hangs must hold up neither the other deliveries nor the end.
    """
    found: Future[list[Address]] = Future()
    found.set_running_or_notify_cancel()  # from here on a result may always be set, wanted or not
    threading.Thread(target=_resolve, args=(host, port, found), name="look-up", daemon=True).start()
    return await asyncio.wrap_future(found)


def _resolve(host: str, port: int, found: Future[list[Address]]) -> None:
    try:
        answers = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        found.set_exception(OSError(f"the name is not known: {error}"))
    else:
        found.set_result([ip_address(str(each[4][0]).partition("%")[0]) for each in answers])
