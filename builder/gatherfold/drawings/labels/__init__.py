"""Placing what is written: candidates for each mark, one list of costs, one search."""
