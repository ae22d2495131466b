"""Trees of edge-to-edge cuts over one rectangle, free of positions.

In: a rectangle and pieces to put into its gaps. Out: a tree that says how it is divided.

A ``Node`` divides its rectangle along one axis: its children lie side by side, each spanning
the node across, and what is left along the axis is the one gap ``waste``. The axis alternates
from a node to its children. A child is a ``Node`` or a ``Leaf`` (width, height, item).
"""

from collections.abc import Container, Iterator

Leaf = tuple[int, int, int]


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


# The free rectangle of a node: width, height, the node, and the index of its bin. A plain
# tuple, because millions of them are made and compared.
Gap = tuple[int, int, Node, int]


def empty(width: int, height: int) -> Node:
    """A rectangle with nothing in it."""
    return Node(False, width, height, height, [])


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
        node.children.append(outer)
        return [(width, above, outer, index), (right, h, inner, index)]
    inner = Node(False, w, height, above, [leaf])
    outer = Node(True, width, height, right, [inner])
    node.children.append(outer)
    return [(right, height, outer, index), (w, above, inner, index)]


def _beside(gap: Gap, leaf: Leaf) -> list[Gap]:
    width, height, node, index = gap
    w, h, _ = leaf
    right, above = width - w, height - h
    gaps: list[Gap] = []
    if node.vertical:
        node.waste = right
        if above:
            child = Node(False, w, height, above, [leaf])
            node.children.append(child)
            gaps.append((w, above, child, index))
        else:
            node.children.append(leaf)
        if right:
            gaps.append((right, height, node, index))
        return gaps
    node.waste = above
    if right:
        child = Node(True, width, h, right, [leaf])
        node.children.append(child)
        gaps.append((right, h, child, index))
    else:
        node.children.append(leaf)
    if above:
        gaps.append((width, above, node, index))
    return gaps


def divide(node: Node, vertical: bool, at: int) -> tuple[Node, Node]:
    """Cut the gap of an empty node in two at a distance from its left or bottom edge."""
    width, height = node.width, node.height
    node.waste = 0
    if vertical:
        low = Node(False, at, height, height, [])
        high = Node(False, width - at, height, height, [])
    else:
        low = Node(True, width, at, width, [])
        high = Node(True, width, height - at, width, [])
    if node.vertical == vertical:
        node.children += [low, high]
    else:
        node.children.append(Node(vertical, width, height, 0, [low, high]))
    return low, high


def without(root: Node, removed: Container[int], keep_whole: bool = False) -> Node:
    """A fresh copy of a tree without some items, its gaps merged as far as they will.

    ``keep_whole`` forbids a cut across a whole part that was not there before.
    """
    pruned = _prune(root, removed, keep_whole)
    if pruned is None:
        return empty(root.width, root.height)
    node = pruned
    if type(node) is tuple:
        return Node(False, root.width, root.height, root.height - node[1], [node])
    assert isinstance(node, Node)
    if not keep_whole:
        spare = _shrink(node)
        if spare:
            size = (root.width, root.height)
            return Node(not node.vertical, size[0], size[1], spare, [node])
    return node


def _prune(node: Node, removed: Container[int], keep_whole: bool) -> "Node | Leaf | None":
    vertical = node.vertical
    # A node that holds one part and nothing else stands for no cut.
    may_cut = not keep_whole or node.waste > 0 or len(node.children) > 1
    children: list[Node | Leaf] = []
    used = 0
    for child in node.children:
        if type(child) is tuple:
            if child[2] in removed:
                continue
            children.append(child)
            used += child[0] if vertical else child[1]
            continue
        part = _prune(child, removed, keep_whole)  # type: ignore[arg-type]
        if part is None:
            continue
        if type(part) is tuple:
            children.append(part)
            used += part[0] if vertical else part[1]
        elif part.vertical == vertical:  # type: ignore[union-attr]
            for inner in part.children:  # type: ignore[union-attr]
                children.append(inner)
                if type(inner) is tuple:
                    used += inner[0] if vertical else inner[1]
                else:
                    used += inner.width if vertical else inner.height  # type: ignore[union-attr]
        else:
            if may_cut:
                _shrink(part)  # type: ignore[arg-type]
            children.append(part)
            used += part.width if vertical else part.height  # type: ignore[union-attr]
    if not children:
        return None
    waste = (node.width if vertical else node.height) - used
    if not waste and len(children) == 1:
        return children[0]
    return Node(vertical, node.width, node.height, waste, children)


def _shrink(node: Node) -> int:
    """Take off the part across a node that no child of it uses; return how much."""
    spare = 0
    for child in node.children:
        if type(child) is tuple:
            return 0
        waste = child.waste  # type: ignore[union-attr]
        if not waste:
            return 0
        if not spare or waste < spare:
            spare = waste
    vertical = node.vertical
    for child in node.children:
        assert isinstance(child, Node)
        child.waste -= spare
        if vertical:
            child.height -= spare
        else:
            child.width -= spare
    if vertical:
        node.height -= spare
    else:
        node.width -= spare
    return spare


def gaps_of(root: Node, index: int) -> list[Gap]:
    """Every gap of a tree."""
    found: list[Gap] = []
    stack = [root]
    while stack:
        node = stack.pop()
        waste = node.waste
        if waste:
            if node.vertical:
                found.append((waste, node.height, node, index))
            else:
                found.append((node.width, waste, node, index))
        for child in node.children:
            if type(child) is not tuple:
                stack.append(child)  # type: ignore[arg-type]
    return found


def items_of(root: "Node | Leaf") -> list[int]:
    """Every item of a tree."""
    if isinstance(root, tuple):
        return [root[2]]
    found: list[int] = []
    stack: list[Node] = [root]
    while stack:
        for child in stack.pop().children:
            if type(child) is tuple:
                found.append(child[2])
            else:
                stack.append(child)  # type: ignore[arg-type]
    return found


def place(root: Node, x: int, y: int) -> Iterator[tuple[int, int, int, int, int]]:
    """Lay the tree out from its lower-left corner: (item, x, y, width, height)."""
    for child in root.children:
        if isinstance(child, tuple):
            yield child[2], x, y, child[0], child[1]
            step = child[0] if root.vertical else child[1]
        else:
            yield from place(child, x, y)
            step = child.width if root.vertical else child.height
        if root.vertical:
            x += step
        else:
            y += step
