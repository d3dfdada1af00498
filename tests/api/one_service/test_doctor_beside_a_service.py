"""tapcall doctor looks at a store in use, and leaves the service at its work."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any


def test_a_store_in_use_is_looked_at_as_it_is_now(service: Any, tapcall: Callable[..., Any]) -> None:
    """With a service at work on it: the write-ahead log is read too, and the service answers on its port."""
    before = {path.name for path in service.data.iterdir()}
    at = str(service.client.base_url.port)
    ended = tapcall("doctor", "--json", "--data", service.data, TAPCALL_PORT=at)
    findings = {each["what"]: each for each in json.loads(ended.stdout)["findings"]}
    assert findings["keys"]["found"] == "good: 1"
    assert findings["tables of the store"]["state"] == "ok"
    assert findings[f"port {at}"]["found"].endswith("answers, and is ready")
    assert {path.name for path in service.data.iterdir()} == before
