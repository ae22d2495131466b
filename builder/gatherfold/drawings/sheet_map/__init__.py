"""Maps of sheets: where each piece is cut from, the cuts in their order, what is left."""
