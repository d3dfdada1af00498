"""The text of a key: `tapcall_<id>_<secret>`. The id may be shown and logged, the secret never.

The store keeps the plain SHA-256 of the secret. A slow, salted hash protects what people choose, which can be
guessed; a secret of 256 random bits cannot be, so there is nothing to slow down, and no two are alike, so there is
nothing to salt. NIST SP 800-63B, 5.1.2.2 (from memory), asks the same of look-up secrets: from 112 bits of entropy
on an approved one-way function is enough.
"""

from __future__ import annotations

import hmac
import re
import secrets
import string
from dataclasses import dataclass, field
from hashlib import sha256

_ALPHABET = string.ascii_letters + string.digits
_SECRET_LETTERS = 43
"""43 of 62 letters: 43 log2(62) = 256.03 bits."""
_TEXT = re.compile(r"tapcall_([0-9a-f]{16})_([0-9A-Za-z]{43})", re.ASCII)
_ANYWHERE = re.compile(r"(tapcall_[0-9a-f]{16}_)[0-9A-Za-z]+", re.ASCII)
_OF_NO_SECRET = sha256(b"").hexdigest()


@dataclass(frozen=True, kw_only=True)
class KeyText:
    id: str
    """The public part: 16 hexadecimal digits."""
    secret: str = field(repr=False)

    @property
    def text(self) -> str:
        """What its holder keeps and sends."""
        return f"tapcall_{self.id}_{self.secret}"

    @property
    def secret_sha256(self) -> str:
        return sha256(self.secret.encode()).hexdigest()

    def fits(self, secret_sha256: str | None) -> bool:
        """Takes as long for a wrong secret, and for an id that nobody has (None), as for the right one."""
        same = hmac.compare_digest(self.secret_sha256, secret_sha256 or _OF_NO_SECRET)
        return same and secret_sha256 is not None


def new_key_text() -> KeyText:
    secret = "".join(secrets.choice(_ALPHABET) for _ in range(_SECRET_LETTERS))
    return KeyText(id=secrets.token_hex(8), secret=secret)


def parse_key(text: str) -> KeyText | None:
    """None for anything that is not the text of a key."""
    found = _TEXT.fullmatch(text)
    return None if found is None else KeyText(id=found[1], secret=found[2])


def without_secrets(text: str) -> str:
    """The text with the secret of every key in it left out, so that it may be logged."""
    return _ANYWHERE.sub(r"\1...", text) if "tapcall_" in text else text
