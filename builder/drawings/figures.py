"""A figure for a document: the inked scene with its size and its alternative in words."""

from __future__ import annotations

from dataclasses import dataclass

from builder.drawings.ink import ink
from builder.drawings.scene import Scene
from builder.drawings.sign_use import signs_of


@dataclass(frozen=True)
class Figure:
    """SVG bytes, exactly ``width_mm`` x ``height_mm``; ``alternative`` is its text equivalent,
    ``signs`` are those of the legend that it uses."""

    key: str
    title: str
    svg: bytes
    width_mm: float
    height_mm: float
    alternative: str
    signs: frozenset[str] = frozenset()


def figure(scene: Scene) -> Figure:
    return Figure(
        scene.key,
        scene.title,
        ink(scene),
        scene.width,
        scene.height,
        scene.text_equivalent,
        signs_of(scene),
    )
