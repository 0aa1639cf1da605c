"""Whether a tree of cuts can truly be cut from a sheet, read from the tree itself."""

from collections.abc import Iterator

from cutopt.solver.problem import ACROSS, UPWARDS, Join, Leaf, Nest, Sheet, Tree


def truly_fits(tree: Tree, sheet: Sheet) -> bool:
    """Tell whether a tree can be cut from a sheet: sizes, wishes, rigid boxes and pockets."""
    return (
        tree.width <= sheet.width
        and tree.height <= sheet.height
        and not tree.wants & ~sheet.edges
        and all(_lies_truly(block, sheet) for block in _rigid_blocks(tree))
    )


def _rigid_blocks(tree: Tree) -> Iterator[Leaf | Nest]:
    if isinstance(tree, Join):
        yield from _rigid_blocks(tree.first)
        yield from _rigid_blocks(tree.second)
    else:
        yield tree


def _lies_truly(block: Leaf | Nest, sheet: Sheet) -> bool:
    """Tell whether a rigid block reaches the opposite edges that it wants; its guests fit too."""
    opposite = block.wants & ACROSS == ACROSS or block.wants & UPWARDS == UPWARDS
    if opposite and not sheet.holds(block.width, block.height, block.wants):
        return False
    return not isinstance(block, Leaf) or all(
        truly_fits(guest, Sheet(pocket.width, pocket.height, sheet.edges & pocket.sides))
        for pocket, guest in ((block.stand.pockets[number], guest) for number, guest in block.fills)
    )
