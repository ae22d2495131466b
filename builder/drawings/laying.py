"""In which order pieces come to lie on one another as they are glued down.

In: pieces and where they lie flat.  Out: the order from the back to the front.
"""

from __future__ import annotations

from collections.abc import Mapping

from builder.choices import lies_before_host
from builder.drawings.placed_view import LaidPiece
from builder.resolve.resolved import ResolvedPiece


def is_laid_on_front(
    pieces: Mapping[str, ResolvedPiece], laid: Mapping[str, LaidPiece], key: str
) -> bool:
    """Whether a piece is laid on from the front of the whole work (+z)."""
    placement = pieces[key].source.placement
    if placement is None:
        return laid[key].faces_front
    host = laid.get(placement.host)
    host_faces_front = host.faces_front if host is not None else laid[key].faces_front
    return host_faces_front == lies_before_host(placement.relation)


def laying_order(pieces: Mapping[str, ResolvedPiece], laid: Mapping[str, LaidPiece]) -> list[str]:
    """The pieces from the back to the front when laid on in the order of ``laid``.

    A piece laid from the front goes on top of all, one laid from behind under all; what goes
    inside a pocket goes just under it, and what lies on such an insert goes with it.
    """
    order: list[str] = []
    inserted: set[str] = set()

    def lay(key: str) -> None:
        """A piece goes down after its host, however they are listed."""
        host = _host(pieces, key)
        if host is not None and host in laid and host not in order:
            lay(host)
        if key not in order:
            _lay(order, inserted, key, pieces, laid)

    for key in laid:
        lay(key)
    return order


def _host(pieces: Mapping[str, ResolvedPiece], key: str) -> str | None:
    placement = pieces[key].source.placement
    return None if placement is None else placement.host


def _lay(
    order: list[str],
    inserted: set[str],
    key: str,
    pieces: Mapping[str, ResolvedPiece],
    laid: Mapping[str, LaidPiece],
) -> None:
    host = _host(pieces, key)
    on_front = is_laid_on_front(pieces, laid, key)
    if host is not None and host in order and pieces[key].is_in_pocket:
        order.insert(order.index(host) + (0 if on_front else 1), key)
        inserted.add(key)
    elif host in inserted:
        order.insert(order.index(host) + (1 if on_front else 0), key)
        inserted.add(key)
    elif on_front:
        order.append(key)
    else:
        order.insert(0, key)
