"""Checks of joins, on four small designs: a box, an envelope, a book and a flat hinge."""
