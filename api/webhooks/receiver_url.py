"""The address of a receiver as its owner writes it."""

from __future__ import annotations

import re
from ipaddress import ip_address

import httpx

from api.webhooks.addresses import RefusedAddressError, is_local_name, refuse_private
from optimiser.case.say_found import say_found
from optimiser.errors import Fault, InputError

_PORTS = {None, *range(1, 65_536)}
_EXPECTED = "an address like https://host/path"
_NAME = re.compile(r"(?=.{1,254}$)([a-z0-9_-]{1,63}\.)*[a-z0-9_-]{1,63}\.?", re.I | re.A)
"""Labels between dots, none of them empty (RFC 1035, 2.3.4); one dot at the end means the same name."""
_NUMBER = re.compile(r"(.*\.)?(0x[0-9a-f]*|[0-9]+)\.?", re.I | re.A)
"""A last label that is a number makes an IPv4 address of it (WHATWG URL, ends in a number, from memory)."""


def checked_url(url: str, *, to_private: bool) -> str:
    """InputError for what can never be delivered to, and for http beyond a network of one's own.

    Names are looked up at each delivery, not here.
    """
    try:
        parsed = httpx.URL(url)
        host = parsed.host
    except (httpx.InvalidURL, UnicodeError) as error:  # the latter: xn-- before what is no such name
        raise _fault(url, f"{_EXPECTED}: {error}") from error
    if parsed.scheme not in ("http", "https") or not host or parsed.port not in _PORTS:
        raise _fault(url, _EXPECTED)
    _refuse_odd_host(url, parsed.raw_host.decode("ascii"))
    if parsed.userinfo or parsed.fragment:
        raise _fault(url, f"{_EXPECTED}, without user, password or fragment")
    if not to_private:
        if parsed.scheme != "https":
            raise _fault(url, f"{_EXPECTED}: what is told would be readable on its way")
        _refuse_private_host(url, host)
    return url


def _refuse_odd_host(url: str, host: str) -> None:
    """Resolvers read short, octal and hexadecimal numbers as addresses, each in its own way."""
    if "%" not in host and _is_address(host):
        return
    if _NUMBER.fullmatch(host):
        raise _fault(url, f"{_EXPECTED}, an IPv4 address as four numbers like 192.0.2.1")
    if not _NAME.fullmatch(host):
        raise _fault(url, f"{_EXPECTED}, a name of letters, digits and hyphens between single dots")


def _is_address(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True


def _refuse_private_host(url: str, host: str) -> None:
    expected = "a public address of another machine"
    if is_local_name(host):
        raise _fault(url, expected)
    try:
        refuse_private(ip_address(host))
    except RefusedAddressError as error:
        raise _fault(url, f"{expected}: {error}") from error
    except ValueError:
        return  # a name


def _fault(url: str, expected: str) -> InputError:
    remedy = "where receivers are in your own network, start the service with TAPCALL_WEBHOOKS_TO_PRIVATE=true"
    return InputError([Fault(path="/url", found=say_found(url), expected=expected, remedy=remedy)])
