"""The last door before a line is read by whoever stands by: no key, no password."""

from __future__ import annotations

from urllib.parse import unquote, urlsplit

from api.keys.key_text import without_secrets
from api.settings import Settings


def without(settings: Settings, text: str) -> str:
    """What a driver or another program says may quote the address that it was given."""
    for secret in _passwords(settings):
        text = text.replace(secret, "...")
    return without_secrets(text)


def _passwords(settings: Settings) -> list[str]:
    if settings.database_url is None:
        return []
    url = settings.database_url.get_secret_value()
    try:
        password = urlsplit(url).password
    except ValueError:
        return [url]
    return [url] if password is None else [url, password, unquote(password)]
