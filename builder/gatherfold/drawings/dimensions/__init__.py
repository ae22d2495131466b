"""Dimensions: lines, ends and numbers of lengths, and the rows that they stand in."""
