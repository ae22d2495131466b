"""How pieces lie beside one another: no overlap on a shared face, even reveals, nothing sticks out.

In: offsets and placed faces of a resolved design.  Out: conditions.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.condition import Condition, Rule
from builder.checks.report import found
from builder.choices import Relation
from builder.findings import Finding, Severity
from builder.geometry.areas import around
from builder.geometry.outline import Box
from builder.piece_kinds import Trait
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.work import work_of
from builder.work.finished import wraps
from builder.work.placed import seen_box


def layout_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    yield from _apart(resolved)
    yield from _even_reveals(resolved)
    yield from _within_covers(resolved)


def sharing_a_face(resolved: ResolvedDesign) -> list[list[ResolvedPiece]]:
    """Pieces that lie side by side on one face, face by face."""
    shared: dict[tuple[str, str, Relation], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and piece.source.has(Trait.SIDE_BY_SIDE):
            face = (placement.host, piece.host_face, placement.relation)
            shared.setdefault(face, []).append(piece)
    return list(shared.values())


def lying_box(piece: ResolvedPiece) -> Box:
    """Where the piece lies, from the lower left corner of its host's face."""
    assert piece.offsets is not None
    width, height = piece.laid_size
    left, bottom = piece.offsets.left, piece.offsets.bottom
    return Box(left, bottom, left + width, bottom + height)


def _apart(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Each two that overlap, or lie next to one another along x, must be apart."""
    for pieces in sharing_a_face(resolved):
        boxes = sorted(((lying_box(piece), piece) for piece in pieces), key=lambda b: b[0].left)
        for index, (box, piece) in enumerate(boxes):
            for other_box, other in boxes[index + 1 :]:
                if other_box.left > box.right:
                    break
                yield _pair(resolved, (box, piece), (other_box, other))


def check_hidden_photographs(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A pocket or a panel glued over a photo mat on the same face."""
    units = resolved.edition.units
    on_face: dict[tuple[str, str, Relation], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        is_either = piece.source.has(Trait.HIDES) or piece.source.has(Trait.CARRIES_PHOTOGRAPH)
        if placement is not None and is_either:
            face = (placement.host, piece.host_face, placement.relation)
            on_face.setdefault(face, []).append(piece)
    for pieces in on_face.values():
        photos = [piece for piece in pieces if piece.source.has(Trait.CARRIES_PHOTOGRAPH)]
        for photo in photos:
            for over in (piece for piece in pieces if piece.source.has(Trait.HIDES)):
                across, upward = _common(lying_box(photo), lying_box(over))
                if across > 0 and upward > 0:
                    yield found(
                        resolved,
                        Severity.WARNING,
                        "photograph-hidden",
                        photo.source.position,
                        f"{over.source.kind} '{over.key}' covers {units.size_text(across, upward)} "
                        f"of photo mat '{photo.key}'",
                        f"Move one of them by {units.text(min(across, upward))}.",
                        across=across,
                        upward=upward,
                    )


def _pair(
    resolved: ResolvedDesign, one: tuple[Box, ResolvedPiece], two: tuple[Box, ResolvedPiece]
) -> Condition:
    (_, first), (_, second) = sorted((one, two), key=lambda pair: pair[1].source.position)
    across, upward = _common(one[0], two[0])
    return Condition(
        ("overlap", first.key, second.key),
        -min(across, upward),
        Rule.NOT_NEGATIVE,
        lambda: _overlap(resolved, first, second, across, upward),
    )


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


def _even_reveals(resolved: ResolvedDesign) -> Iterator[Condition]:
    """A mat's left and right borders are equal."""
    for piece in resolved.pieces.values():
        if piece.source.has(Trait.FRAMES) and piece.offsets is not None:
            yield Condition(
                ("uneven-reveal", piece.key),
                piece.offsets.left - piece.offsets.right,
                Rule.ZERO,
                lambda piece=piece: _uneven(resolved, piece),  # type: ignore[misc]
            )


def _uneven(resolved: ResolvedDesign, piece: ResolvedPiece) -> Finding:
    units, offsets = resolved.edition.units, piece.offsets
    assert offsets is not None
    return found(
        resolved,
        Severity.WARNING,
        "uneven-reveal",
        piece.source.position,
        f"mat '{piece.key}' leaves {units.text(offsets.left)} on the left and "
        f"{units.text(offsets.right)} on the right",
        f"{units.text((offsets.left + offsets.right) / 2)} on each side is even.",
        left=offsets.left,
        right=offsets.right,
    )


def _within_covers(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Closed, nothing that stays inside may reach beyond the covers, where a panel is the base."""
    boxes = _closed_boxes(resolved)
    panels = [box for key, box in boxes.items() if resolved.pieces[key].source.has(Trait.COVERS)]
    roots = [resolved.pieces[key].source for key in boxes]
    if not any(root.placement is None and root.has(Trait.COVERS) for root in roots):
        return
    cover = around(panels)
    outside = {key for key, _ in wraps(work_of(resolved))}
    for key, box in boxes.items():
        source = resolved.pieces[key].source
        if source.has(Trait.WITHIN_COVERS) and outside.isdisjoint(_hosts(resolved, key)):
            room = min(
                box.left - cover.left,
                cover.right - box.right,
                box.bottom - cover.bottom,
                cover.top - box.top,
            )
            yield Condition(
                ("sticks-out", key),
                room,
                Rule.NOT_NEGATIVE,
                lambda key=key, beyond=-room: (  # type: ignore[misc]
                    _sticks_out(resolved, key, beyond)
                ),
            )


def _closed_boxes(resolved: ResolvedDesign) -> dict[str, Box]:
    """The box of each piece that lies in the plane of the page when everything is closed."""
    work = work_of(resolved)
    found: dict[str, list[Box]] = {}
    for key, plate in work.closed.plates.items():
        if plate.axis == 2:
            found.setdefault(key.piece, []).append(seen_box(plate, work.scale))
    return {key: around(boxes) for key, boxes in found.items()}


def _hosts(resolved: ResolvedDesign, key: str) -> Iterator[str]:
    """A piece, what it lies on, what that lies on, and so on."""
    at: str | None = key
    seen: set[str] = set()
    while at is not None and at not in seen:
        yield at
        seen.add(at)
        placement = resolved.pieces[at].source.placement
        at = None if placement is None else placement.host


def _sticks_out(resolved: ResolvedDesign, key: str, beyond: Fraction) -> Finding:
    units = resolved.edition.units
    return found(
        resolved,
        Severity.ERROR,
        "sticks-out",
        resolved.pieces[key].source.position,
        f"closed, '{key}' reaches {units.text(beyond)} beyond the covers",
        f"Make it {units.text(beyond)} smaller, or the covers larger.",
        beyond=beyond,
    )
