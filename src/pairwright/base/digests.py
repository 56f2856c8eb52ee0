"""SHA-256 digests of texts and of canonical JSON (RFC 8785)."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping


def digest_bytes(content: bytes) -> str:
    """Hexadecimal SHA-256."""
    return hashlib.sha256(content).hexdigest()


def digest_json(value: object) -> str:
    """Digest of the canonical JSON form, independent of key order and spacing."""
    import rfc8785

    return digest_bytes(rfc8785.dumps(value))  # type: ignore[arg-type]


def digest_texts(texts: Mapping[str, str]) -> str:
    """Digest of named texts, in order of name; line ends do not matter."""
    content = hashlib.sha256()
    for name in sorted(texts):
        body = texts[name].replace("\r\n", "\n").encode()
        content.update(f"{name}\0{len(body)}\0".encode())
        content.update(body)
    return content.hexdigest()
