"""How pieces lie on one another and side by side: within their host, at the given distances, with
no overlap on a shared face, with even reveals, and with nothing that sticks out.

In: offsets and placed faces of a resolved design.  Out: conditions.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from itertools import product

from gatherfold.checks.report import Condition, Rule, Told, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, Box, around, is_upright, room_within
from gatherfold.model import Placement, Relation, Trait
from gatherfold.resolve import Offsets, ResolvedDesign, ResolvedPiece
from gatherfold.work import lying, seen_box, work_of, wraps


def lying_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """No overhang where a piece must stay within its host, and every given distance kept."""
    for piece in resolved.pieces.values():
        placement, offsets = piece.source.placement, piece.offsets
        if placement is None or offsets is None:
            continue
        yield from _distances(resolved, piece, placement, offsets)
        if piece.source.has(Trait.WITHIN_HOST) and not _hangs_on_tab(resolved, piece, placement):
            room = resolved.pieces[placement.host].face(piece.host_face).box
            for edge in EDGES:
                overhang = partial(
                    finding_kind("overhang").found,
                    resolved,
                    piece,
                    kind=piece.source.kind,
                    edge=edge,
                    host=placement.host,
                    beyond=-offsets.at(edge),
                    room=room.width if is_upright(edge) else room.height,
                )
                yield Condition(("overhang", piece.key, edge), offsets.at(edge), overhang)


def _hangs_on_tab(resolved: ResolvedDesign, piece: ResolvedPiece, placement: Placement) -> bool:
    """Whether a piece lies on the outermost section of a folded strip and goes on beyond it, as the
    next length of a concertina does on the tab of the one before."""
    if len(piece.faces) == 1:
        return False
    host = resolved.pieces[placement.host]
    return sum(piece.host_face in score.sides for score in host.scores) == 1


def _distances(
    resolved: ResolvedDesign, piece: ResolvedPiece, placement: Placement, offsets: Offsets
) -> Iterator[Condition]:
    """A distance to the host's edge is what is asked, unless the piece's own size contradicts."""
    unmet = dict(piece.unmet)
    for edge in EDGES:
        if edge in placement.distances or placement.leaving is not None:
            left_over = offsets.at(edge)
            wanted = unmet.get(edge, left_over)
            expression = placement.distances.get(edge) or placement.leaving
            finding = partial(
                finding_kind("sums-do-not-close").found,
                resolved,
                piece.source.position if expression is None else expression.position,
                piece=piece.key,
                edge=edge,
                host=placement.host,
                wanted=wanted,
                left_over=left_over,
            )
            key = ("sums-do-not-close", piece.key, edge)
            yield Condition(key, left_over - wanted, finding, Rule.ZERO)


def layout_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """What shares a face lies apart, reveals are even, and nothing sticks out of the covers."""
    yield from _apart(resolved)
    for piece in resolved.pieces.values():
        if piece.source.has(Trait.FRAMES) and piece.offsets is not None:
            left, right = piece.offsets.left, piece.offsets.right
            even = resolved.edition.units.text((left + right) / 2)
            uneven = partial(
                finding_kind("uneven-reveal").found,
                resolved,
                piece,
                left=left,
                right=right,
                even=even,
            )
            yield Condition(("uneven-reveal", piece.key), left - right, uneven, Rule.ZERO)
    yield from _within_covers(resolved)


def sharing_a_face(resolved: ResolvedDesign, *traits: Trait) -> list[list[ResolvedPiece]]:
    """Pieces with one of these traits that lie on one face, face by face."""
    shared: dict[tuple[str, str, Relation], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and any(piece.source.has(trait) for trait in traits):
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
    for pieces in sharing_a_face(resolved, Trait.SIDE_BY_SIDE):
        in_order = sorted(pieces, key=lambda piece: lying_box(piece).left)
        for index, piece in enumerate(in_order):
            for other in in_order[index + 1 :]:
                if lying_box(other).left > lying_box(piece).right:
                    break
                yield _pair(resolved, *sorted((piece, other), key=lambda p: p.source.position))


def check_hidden_photographs(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A pocket or a panel glued over a photo mat on the same face."""
    for pieces in sharing_a_face(resolved, Trait.HIDES, Trait.CARRIES_PHOTOGRAPH):
        for photo, over in product(pieces, pieces):
            if not (photo.source.has(Trait.CARRIES_PHOTOGRAPH) and over.source.has(Trait.HIDES)):
                continue
            size, kind = _common(photo, over), over.source.kind
            if (least := min(size)) > 0:
                yield finding_kind("photograph-hidden").found(
                    resolved, photo, kind=kind, over=over.key, size=size, least=least
                )


def _pair(resolved: ResolvedDesign, first: ResolvedPiece, second: ResolvedPiece) -> Condition:
    assert second.source.placement is not None
    size, host = _common(first, second), second.source.placement.host
    told: dict[str, Told] = {"host": host, "size": size, "least": min(size)}
    overlap = partial(finding_kind("overlap").found, resolved, second, other=first.key, **told)
    return Condition(("overlap", first.key, second.key), -min(size), overlap)


def _common(one: ResolvedPiece, two: ResolvedPiece) -> tuple[Fraction, Fraction]:
    """How far two pieces lie over one another across and upward; below zero: apart."""
    first, second = lying_box(one), lying_box(two)
    across = min(first.right, second.right) - max(first.left, second.left)
    upward = min(first.top, second.top) - max(first.bottom, second.bottom)
    return across, upward


def _within_covers(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Closed, nothing that stays inside may reach beyond the covers, where a panel is the base."""
    work = work_of(resolved)
    lying_flat: dict[str, list[Box]] = {}
    for face, plate in lying(work.closed).plates.items():
        if plate.axis == 2:
            lying_flat.setdefault(face.piece, []).append(seen_box(plate, work.scale))
    boxes = {key: around(own) for key, own in lying_flat.items()}
    panels = [box for key, box in boxes.items() if resolved.pieces[key].source.has(Trait.COVERS)]
    roots = [resolved.pieces[key].source for key in boxes]
    if not any(root.placement is None and root.has(Trait.COVERS) for root in roots):
        return
    cover = around(panels)
    outside = {key for key, _ in wraps(work)}
    for key, box in boxes.items():
        source = resolved.pieces[key].source
        if source.has(Trait.WITHIN_COVERS) and outside.isdisjoint((key, *resolved.hosts_of(key))):
            room = min(room_within(box, cover).values())
            beyond = partial(
                finding_kind("sticks-out").found, resolved, resolved.pieces[key], beyond=-room
            )
            yield Condition(("sticks-out", key), room, beyond)
