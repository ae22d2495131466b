"""The mark that tells designs, and sizes of one design, apart: SHA-256 of all that was read."""

import hashlib
from collections.abc import Mapping

#: So many hexadecimal digits are printed; the record has them all.
_PRINTED = 16


def checksum(
    content: bytes, overrides: Mapping[str, str], pictures: Mapping[str, bytes] | None = None
) -> str:
    """SHA-256 (FIPS 180-4) of a design: of its file's bytes, then of each picture it places with
    its name, then of sizes set by hand.  Without the latter two it is that of the file alone."""
    digest = hashlib.sha256(content)
    for name, picture in sorted((pictures or {}).items()):
        digest.update(f"\0{name}\0{len(picture)}\0".encode())
        digest.update(picture)
    for name in sorted(overrides):
        digest.update(f"\0{name}={overrides[name]}".encode())
    return digest.hexdigest()


def printed_mark(whole: str) -> str:
    """What pages and machine files print of a checksum."""
    return whole[:_PRINTED]
