"""One try of a delivery: signed after Standard Webhooks, posted to the address that was judged."""

from __future__ import annotations

import anyio
import httpx
from standardwebhooks import Webhook

from api.store.instants import now
from api.webhooks.addresses import RefusedAddressError, look_up
from api.webhooks.due import Answer, Due
from optimiser import __version__

LONGEST_S = 10.0
"""For the whole of a try, from looking up the name to the last byte that is read."""
_MOST_READ_BYTES = 64 * 1024


def new_client() -> httpx.AsyncClient:
    """Takes nothing from the environment, and keeps no connection: two names may share one address."""
    return httpx.AsyncClient(
        verify=httpx.create_ssl_context(),
        trust_env=False,
        follow_redirects=False,
        timeout=None,
        limits=httpx.Limits(max_keepalive_connections=0),
    )


async def post(client: httpx.AsyncClient, due: Due, *, to_private: bool) -> Answer:
    """Never raises for what the receiver, its name or its address do."""
    try:
        with anyio.fail_after(LONGEST_S):
            status = await _post(client, due, to_private=to_private)
    except TimeoutError:
        return Answer(status=None, text=f"no answer within {LONGEST_S:g} s")
    except RefusedAddressError as refused:
        return Answer(status=None, text=f"not sent: {refused}")
    except (httpx.HTTPError, httpx.InvalidURL, OSError) as error:
        return Answer(status=None, text=f"no answer: {error or type(error).__name__}")
    return Answer(status=status, text=f"HTTP {status}")


def signed_headers(due: Due) -> dict[str, str]:
    """The id is the same at every try; there is a signature for each secret that is live."""
    at = now()
    signatures = (Webhook(secret).sign(due.id, at, due.payload) for secret in due.secrets)
    return {
        "webhook-id": due.id,
        "webhook-timestamp": str(int(at.timestamp())),
        "webhook-signature": " ".join(signatures),
    }


async def _post(client: httpx.AsyncClient, due: Due, *, to_private: bool) -> int:
    url = httpx.URL(due.url)
    name = url.raw_host.decode("ascii")
    port = url.port or (443 if url.scheme == "https" else 80)
    address = await look_up(name, port, to_private=to_private)
    headers = {
        "Host": url.netloc.decode("ascii"),
        "Content-Type": "application/json",
        "User-Agent": f"tapcall/{__version__}",
        "Accept-Encoding": "identity",
        **signed_headers(due),
    }
    pinned = url.copy_with(host=str(address))
    sent = client.stream("POST", pinned, content=due.payload, headers=headers, extensions={"sni_hostname": name})
    async with sent as response:
        await _read_a_little(response)
        return response.status_code


async def _read_a_little(response: httpx.Response) -> None:
    """Nothing in the body matters, but a receiver that is cut off while it answers may take that for a failure."""
    length = 0
    async for chunk in response.aiter_raw(8192):
        length += len(chunk)
        if length >= _MOST_READ_BYTES:
            return
