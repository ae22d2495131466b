"""Trees of edge-to-edge cuts over one rectangle, free of positions.

In: a rectangle and pieces to put into its gaps. Out: a tree that says how it is divided.

A ``Node`` divides its rectangle along one axis: its children lie side by side, each spanning
the node across, and what is left along the axis is the one gap ``waste``. The axis alternates
from a node to its children. A child is a ``Node`` or a ``Leaf``.
"""

from collections.abc import Callable, Container, Iterator
from typing import NamedTuple, TypeVar

T = TypeVar("T")


class Leaf(NamedTuple):
    """An item as it is laid."""

    width: int
    height: int
    item: int


class Node:
    """A rectangle divided along one axis (vertical: children run from left to right)."""

    __slots__ = ("children", "height", "vertical", "waste", "width")

    def __init__(
        self, vertical: bool, width: int, height: int, waste: int, children: "list[Node | Leaf]"
    ) -> None:
        self.vertical = vertical
        self.width = width
        self.height = height
        self.waste = waste
        self.children = children

    def gap(self, index: int) -> "Gap":
        """Its free rectangle."""
        if self.vertical:
            return self.waste, self.height, self, index
        return self.width, self.waste, self, index


# The free rectangle of a node: width, height, the node, and the index of its bin. A plain
# tuple, because millions of them are made and compared.
Gap = tuple[int, int, Node, int]
# What a part is made of: an item, or a cut (vertical or not, how far from the left or bottom edge)
# with the parts on its near and its far side.
Made = Leaf | tuple[bool, int, T, T]


def empty(width: int, height: int, vertical: bool = False) -> Node:
    """A rectangle with nothing in it."""
    return Node(vertical, width, height, width if vertical else height, [])


def insert(gap: Gap, leaf: Leaf, vertical_first: bool) -> list[Gap]:
    """Put a leaf into a gap's corner, cutting first on the given axis; return the new gaps."""
    width, height, node, index = gap
    w, h, _ = leaf
    right, above = width - w, height - h
    if node.vertical == vertical_first or not right or not above:
        return _beside(gap, leaf)
    node.waste = 0
    if node.vertical:
        inner = Node(True, width, h, right, [leaf])
        outer = Node(False, width, height, above, [inner])
    else:
        inner = Node(False, w, height, above, [leaf])
        outer = Node(True, width, height, right, [inner])
    node.children.append(outer)
    return [outer.gap(index), inner.gap(index)]


def _beside(gap: Gap, leaf: Leaf) -> list[Gap]:
    """Put a leaf next to the other children of a node; return what is left of its gap."""
    width, height, node, index = gap
    w, h, _ = leaf
    right, above = width - w, height - h
    gaps: list[Gap] = []
    child: Node | Leaf = leaf
    node.waste, across = (right, above) if node.vertical else (above, right)
    if across:
        child = (
            Node(False, w, height, above, [leaf])
            if node.vertical
            else Node(True, width, h, right, [leaf])
        )
        gaps.append(child.gap(index))
    node.children.append(child)
    if node.waste:
        gaps.append(node.gap(index))
    return gaps


def built(width: int, height: int, part: T, made_of: Callable[[T], Made[T]]) -> Node:
    """The tree of a rectangle when it is known what each part is made of."""
    made = made_of(part)
    if isinstance(made, Leaf):
        column = Node(False, made.width, height, height - made.height, [made])
        return Node(True, width, height, width - made.width, [column])
    vertical, at, near, far = made
    if vertical:
        parts = built(at, height, near, made_of), built(width - at, height, far, made_of)
    else:
        parts = built(width, at, near, made_of), built(width, height - at, far, made_of)
    return Node(vertical, width, height, 0, [*parts])


def without(root: Node, removed: Container[int], keep_whole: bool = False) -> Node:
    """A fresh copy of a tree without some items, its gaps merged as far as they will.

    ``keep_whole`` forbids a cut across a whole part that was not there before.
    """
    node = _pruned(root, removed, keep_whole)
    if node is None:
        return empty(root.width, root.height)
    if isinstance(node, Leaf):
        return Node(False, root.width, root.height, root.height - node.height, [node])
    if not keep_whole:
        spare = _shrink(node)
        if spare:
            return Node(not node.vertical, root.width, root.height, spare, [node])
    return node


def _pruned(node: Node, removed: Container[int], keep_whole: bool) -> "Node | Leaf | None":
    vertical = node.vertical
    # A node that holds one part and nothing else stands for no cut.
    may_cut = not keep_whole or node.waste > 0 or len(node.children) > 1
    children: list[Node | Leaf] = []
    for child in node.children:
        part = child if isinstance(child, Leaf) else _pruned(child, removed, keep_whole)
        if isinstance(part, Leaf):
            if part.item not in removed:
                children.append(part)
        elif part is not None and part.vertical == vertical:
            children += part.children
        elif part is not None:
            if may_cut:
                _shrink(part)
            children.append(part)
    if not children:
        return None
    if vertical:
        waste = node.width - sum([child.width for child in children])
    else:
        waste = node.height - sum([child.height for child in children])
    if not waste and len(children) == 1:
        return children[0]
    return Node(vertical, node.width, node.height, waste, children)


def _shrink(node: Node) -> int:
    """Take off the part across a node that no child of it uses; return how much."""
    parts = [child for child in node.children if isinstance(child, Node)]
    spare = min([part.waste for part in parts]) if len(parts) == len(node.children) else 0
    if spare:
        for part in [*parts, node]:
            if node.vertical:
                part.height -= spare
            else:
                part.width -= spare
        for part in parts:
            part.waste -= spare
    return spare


def nodes_of(root: Node) -> Iterator[Node]:
    """Every node of a tree."""
    stack = [root]
    while stack:
        node = stack.pop()
        yield node
        stack += [child for child in node.children if isinstance(child, Node)]


def gaps_of(root: Node, index: int) -> list[Gap]:
    """Every gap of a tree."""
    return [node.gap(index) for node in nodes_of(root) if node.waste]


def items_of(root: Node) -> list[int]:
    """Every item of a tree."""
    return [c.item for node in nodes_of(root) for c in node.children if isinstance(c, Leaf)]


def toil(root: Node) -> int:
    """How many cuts a tree takes, and about how many settings of the guide."""
    cuts, lengths = 0, set()
    for node in nodes_of(root):
        parted = node.children if node.waste else node.children[:-1]
        cuts += len(parted)
        lengths |= {part.width if node.vertical else part.height for part in parted}
    return cuts + len(lengths)


def place(root: Node, x: int, y: int) -> Iterator[tuple[int, int, int, int, int]]:
    """Lay the tree out from its lower-left corner: (item, x, y, width, height)."""
    for child in root.children:
        if isinstance(child, Leaf):
            yield child.item, x, y, child.width, child.height
        else:
            yield from place(child, x, y)
        if root.vertical:
            x += child.width
        else:
            y += child.height
