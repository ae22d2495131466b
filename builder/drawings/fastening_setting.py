"""What is known of setting a fastening: its layers from the head down, its centre, in words.

In: a resolved design and a fastening with a point.  Out: a :class:`Setting`, and its sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.placed_view import LaidPiece, laid_pieces
from builder.drawings.wording import counted, joined
from builder.geometry.outline import Point
from builder.resolve.bought_sizes import size_text
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening, ResolvedPiece


@dataclass(frozen=True)
class Setting:
    """A fastening with the layers it goes through, from the head to the last.

    ``from_front`` says from which side of the flat work it is pierced; ``edges`` are the two
    edges of the top layer that its ``centre`` is measured from.
    """

    fastening: ResolvedFastening
    layers: tuple[LaidPiece, ...]
    from_front: bool
    centre: Point
    hole: Fraction
    edges: tuple[str, str]

    @property
    def top(self) -> ResolvedPiece:
        return self.layers[0].piece

    @property
    def shows_front(self) -> bool:
        """Whether the side of the top layer that is seen is its front."""
        return self.layers[0].faces_front == self.from_front

    @property
    def distances(self) -> tuple[Fraction, Fraction]:
        """The exact distances from ``edges``."""
        across, upward = self.edges
        x, y = self.centre.x, self.centre.y
        return (
            x if across == "left" else self.top.width - x,
            y if upward == "bottom" else self.top.height - y,
        )


def setting_of(resolved: ResolvedDesign, fastening_key: str) -> Setting:
    """The layers in the order they are met, and what the centre is measured from."""
    fastening = resolved.fastenings[fastening_key]
    through = fastening.source.through
    if fastening.point is None or not through:
        raise ValueError(f"fastening '{fastening_key}' goes through nothing")
    laid = laid_pieces(resolved, through)
    first, others = laid[through[0]], [laid[key] for key in through[1:] if key in laid]
    from_front = first.order > others[-1].order if others else first.faces_front
    layers = sorted(laid.values(), key=lambda piece: piece.order, reverse=from_front)
    # The centre is measured on the first piece named; it lies on top.
    layers.sort(key=lambda piece: piece.piece.key != first.piece.key)
    hole = next((h for h in first.piece.holes if h.fastening == fastening_key), None)
    centre = hole.centre if hole else fastening.point
    diameter = hole.diameter if hole else Fraction(0)
    edges = _measured_edges(first.piece, fastening, centre)
    return Setting(fastening, tuple(layers), from_front, centre, diameter, edges)


def _measured_edges(
    piece: ResolvedPiece, fastening: ResolvedFastening, centre: Point
) -> tuple[str, str]:
    """The edges the design measures from; where it names none, the nearer."""
    given = fastening.source.distances
    across = "left" if 2 * centre.x <= piece.width else "right"
    upward = "bottom" if 2 * centre.y <= piece.height else "top"
    across = next((edge for edge in ("left", "right") if edge in given), across)
    upward = next((edge for edge in ("bottom", "top") if edge in given), upward)
    return across, upward


def held_title(resolved: ResolvedDesign, setting: Setting) -> str:
    held = resolved.fastenings.get(setting.fastening.source.holds or "")
    return held.source.title if held else ""


def layer_name(piece: ResolvedPiece) -> str:
    return f"{piece.code} {piece.title}".strip()


def fastening_equivalent(resolved: ResolvedDesign, fastening_key: str) -> str:
    """The drawing in words, from the same exact lengths."""
    setting = setting_of(resolved, fastening_key)
    units, source = resolved.edition.units, setting.fastening.source
    names = [layer_name(laid.piece) for laid in setting.layers]
    side = "front" if setting.from_front else "back"
    across, upward = setting.distances
    sentences = [
        f"{source.title}: set from the {side} through {counted(len(names), 'layer')}, in this "
        f"order: {joined(names)}.",
        f"Its centre lies {units.text(across)} from the {setting.edges[0]} edge and "
        f"{units.text(upward)} from the {setting.edges[1]} edge of {names[0]}, those edges named "
        "as seen from its front.",
    ]
    if not setting.shows_front:
        sentences.append("The drawing shows its back, so left and right change places.")
    if setting.hole:
        sentences.append(f"The hole is {units.text(setting.hole)} across.")
    sentences.extend(_size_sentences(setting, resolved))
    held = held_title(resolved, setting)
    if held:
        sentences.append(f"{held} lies under the head, on {names[0]}.")
    if source.pivot:
        sentences.append(f"{names[0]} turns on it.")
    return " ".join(sentences)


def _size_sentences(setting: Setting, resolved: ResolvedDesign) -> list[str]:
    kind, last = setting.fastening.source.kind, layer_name(setting.layers[-1].piece)
    head = size_text(setting.fastening.head, resolved)
    leg = size_text(setting.fastening.leg, resolved)
    if kind == "magnet pair":
        return [
            f"Each magnet is {head} across; the two meet when the work is closed.",
            "Try which sides attract before they are glued.",
        ]
    if kind == "eyelet":
        return [f"The eyelet is {head} across and is set flat behind {last}."]
    return [f"The head is {head} across; the legs, {leg} long, are spread behind {last}."]
