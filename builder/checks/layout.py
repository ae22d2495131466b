"""How pieces lie beside one another: no overlap on a shared face, even reveals, nothing sticks out.

In: offsets and placed faces of a resolved design.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import combinations

from builder.checks.report import found
from builder.checks.thickness import placed_box
from builder.findings import Finding, Severity
from builder.geometry.outline import Box
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

#: Kinds that share a face side by side; anything else may lie over its neighbour on purpose.
_SIDE_BY_SIDE = ("mat", "photo mat", "strip")


def check_layout(resolved: ResolvedDesign) -> Iterator[Finding]:
    yield from _overlaps(resolved)
    yield from _uneven_reveals(resolved)
    yield from _sticking_out(resolved)


def _overlaps(resolved: ResolvedDesign) -> Iterator[Finding]:
    shared: dict[tuple[str, str, str], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and piece.source.kind in _SIDE_BY_SIDE:
            face = (placement.host, piece.host_face, placement.relation)
            shared.setdefault(face, []).append(piece)
    for pieces in shared.values():
        for first, second in combinations(pieces, 2):
            across, upward = _common(_lying(first), _lying(second))
            if across > 0 and upward > 0:
                yield _overlap(resolved, first, second, across, upward)


def _lying(piece: ResolvedPiece) -> Box:
    """Where the piece lies, from the lower left corner of its host's face."""
    assert piece.offsets is not None
    width, height = piece.laid_size
    left, bottom = piece.offsets.left, piece.offsets.bottom
    return Box(left, bottom, left + width, bottom + height)


def _common(first: Box, second: Box) -> tuple[Fraction, Fraction]:
    across = min(first.right, second.right) - max(first.left, second.left)
    upward = min(first.top, second.top) - max(first.bottom, second.bottom)
    return across, upward


def _overlap(
    resolved: ResolvedDesign,
    first: ResolvedPiece,
    second: ResolvedPiece,
    across: Fraction,
    upward: Fraction,
) -> Finding:
    assert second.source.placement is not None
    units = resolved.edition.units
    least = min(across, upward)
    return found(
        resolved,
        Severity.ERROR,
        "overlap",
        second.source.position,
        f"'{first.key}' and '{second.key}' overlap on '{second.source.placement.host}' by "
        f"{units.size_text(across, upward)}",
        f"Make one of them {units.text(least)} smaller, or move it as far.",
        across=across,
        upward=upward,
    )


def _uneven_reveals(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A mat's left and right borders differ although it is meant to be centred."""
    units = resolved.edition.units
    for piece in resolved.pieces.values():
        offsets = piece.offsets
        if piece.source.kind != "mat" or offsets is None or offsets.left == offsets.right:
            continue
        middle = (offsets.left + offsets.right) / 2
        yield found(
            resolved,
            Severity.WARNING,
            "uneven-reveal",
            piece.source.position,
            f"mat '{piece.key}' leaves {units.text(offsets.left)} on the left and "
            f"{units.text(offsets.right)} on the right",
            f"{units.text(middle)} on each side is even.",
            left=offsets.left,
            right=offsets.right,
        )


def _sticking_out(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Closed, nothing that stays inside may reach beyond the covers, where a panel is the base."""
    boxes = _closed_boxes(resolved)
    panels = [box for key, box in boxes.items() if resolved.pieces[key].source.kind == "panel"]
    roots = [resolved.pieces[key].source for key in boxes]
    if not any(root.placement is None and root.kind == "panel" for root in roots):
        return
    cover = _around(panels)
    units = resolved.edition.units
    for key, box in boxes.items():
        piece = resolved.pieces[key]
        if piece.source.present != "always" or piece.source.kind not in ("flap", "pocket", "mat"):
            continue
        beyond = max(
            cover.left - box.left,
            box.right - cover.right,
            cover.bottom - box.bottom,
            box.top - cover.top,
        )
        if beyond > 0:
            yield found(
                resolved,
                Severity.ERROR,
                "sticks-out",
                piece.source.position,
                f"closed, '{key}' reaches {units.text(beyond)} beyond the covers",
                f"Make it {units.text(beyond)} smaller, or the covers larger.",
                beyond=beyond,
            )


def _closed_boxes(resolved: ResolvedDesign) -> Mapping[str, Box]:
    """The box of each piece that lies in the plane of the page when everything is closed."""
    found_boxes: dict[str, list[Box]] = {}
    for face in resolved.states["closed"].faces:
        if face.pose.normal[2] != 0:
            found_boxes.setdefault(face.piece, []).append(placed_box(resolved, face))
    return {key: _around(boxes) for key, boxes in found_boxes.items()}


def _around(boxes: list[Box]) -> Box:
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )
