"""Counting: a resolved design and its sheet plans → cut list, supplies, tools and hazards."""
