"""Exact plane and space geometry of paper pieces; no drawing, no design knowledge."""
