"""The address of a receiver as its owner writes it."""

from __future__ import annotations

from ipaddress import ip_address

import httpx

from api.webhooks.addresses import RefusedAddressError, is_local_name, refuse_private
from optimiser.case.say_found import say_found
from optimiser.errors import Fault, InputError

_PORTS = {None, *range(1, 65_536)}
_EXPECTED = "an address like https://host/path"


def checked_url(url: str, *, to_private: bool) -> str:
    """InputError for what can never be delivered to. Names are looked up at each delivery, not here."""
    try:
        parsed = httpx.URL(url)
    except httpx.InvalidURL as error:
        raise _fault(url, f"{_EXPECTED}: {error}") from error
    if parsed.scheme not in ("http", "https") or not parsed.host or parsed.port not in _PORTS:
        raise _fault(url, _EXPECTED)
    if parsed.userinfo or parsed.fragment:
        raise _fault(url, f"{_EXPECTED}, without user, password or fragment")
    if not to_private:
        _refuse_private_host(url, parsed.host)
    return url


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
