"""True-size templates of pieces that are not plain rectangles."""
